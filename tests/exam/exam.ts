/** `npm run exam`: predictions and verdicts against the simulator's truth, as tables. */
import { writeFileSync } from 'node:fs'
import { parseArgs } from 'node:util'
import { describeProblems, readShop } from '../../server/shop/index.js'
import { createSimulatedShop, demoPlant, type ScenarioName, scenarioNames } from '../../simulators/index.js'
import { examine } from './examine.js'
import { score } from './score.js'

const { values } = parseArgs({
  options: {
    help: { type: 'boolean' },
    seed: { type: 'string', default: '1' },
    days: { type: 'string', default: '14' },
    scenario: { type: 'string', default: 'ordinary' },
    from: { type: 'string', default: '2026-01-12' },
    json: { type: 'string' },
    detail: { type: 'boolean' },
  },
})
if (values.help) {
  console.log(`npm run exam -- [options]

Lets the demo shop live, runs what its sensors send through the code of the live service, and compares growth and
verdicts with the simulator's truth.

The true error of a job begun at a moment is the true size error then, and the true drift within the job if the conditions
of the last five minutes hold. A second figure holds the conditions of that very instant.

  --seed N         1 if not given; the same seed gives the same shop
  --days N         14 if not given
  --scenario NAME  ${scenarioNames.join(', ')}
  --from DATE      2026-01-12 if not given (UTC)
  --detail         also every machine and work class
  --json FILE      also writes the figures to FILE
  --help           this text`)
  process.exit(0)
}

const days = Number(values.days)
const seed = Number(values.seed)
const from = Date.parse(`${values.from}T00:00:00Z`)
const scenario = scenarioNames.find(name => name === values.scenario) as ScenarioName | undefined
if (!(days > 0) || !Number.isInteger(seed) || Number.isNaN(from) || !scenario) {
  console.error(
    `exam: --days must be a number over 0, --seed a whole number, --from a date like 2026-01-12, --scenario one of ${scenarioNames.join(', ')}`,
  )
  process.exit(2)
}

const parsed = readShop(new URL('../../simulators/demo-shop.yaml', import.meta.url).pathname)
if ('problems' in parsed) {
  console.error(describeProblems(parsed.problems))
  process.exit(2)
}
const simulated = createSimulatedShop(demoPlant, { seed, start: from, scenario })
let shown = Date.now()
const record = examine(parsed.shop, simulated, {
  from,
  days,
  step: 60,
  judgeEvery: 300,
  onProgress: part => {
    if (process.stderr.isTTY && Date.now() - shown > 1000) {
      shown = Date.now()
      process.stderr.write(`\r${(100 * part).toFixed(0)} % of ${days} days`)
    }
  },
})
if (process.stderr.isTTY) process.stderr.write('\r\x1b[K')
const result = score([record])

const number = (value: number, decimals: number, width: number) => value.toFixed(decimals).padStart(width)
console.log(
  `${days} days of the demo shop from ${values.from}, scenario ${scenario}, seed ${seed}: ${record.messages} messages, ${record.refused} refused\n`,
)
console.log('growth at the work, µm    median |true|   median error   95 % error   allowed median')
for (const axis of result.axes) {
  const name = `${axis.machine} ${axis.axis}`.padEnd(24)
  const good = axis.errorMedian <= axis.allowedMedian
  console.log(
    `${name}${number(axis.growthMedian, 1, 15)}${number(axis.errorMedian, 2, 15)}${number(axis.error95, 2, 13)}${number(axis.allowedMedian, 2, 17)}${good ? '' : '  ← over'}`,
  )
}
if (values.detail) {
  console.log(
    '\nmachine, work class                fit  settling  unfit  unknown  % of samples; falsely fit, falsely unfit, changes a day',
  )
  for (const c of record.classes) {
    const part = (n: number) => number((100 * n) / c.samples, 1, 8)
    console.log(
      `${`${c.machine} ${c.workClass}`.padEnd(30)}${part(c.count.fit)}${part(c.count.settling)}${part(c.count.unfit)}${part(c.count.unknown)}   ${c.falselyFit}, ${part(c.falselyUnfit).trim()} %, ${(c.changes / days).toFixed(1)}`,
    )
    for (const w of c.worst.slice(0, 5))
      console.log(
        `    ${new Date(w.at).toISOString()}  true ${(w.error * 1e6).toFixed(2)} µm over ${(w.granted * 1e6).toFixed(2)} µm`,
      )
  }
}
console.log(`
growth error, all axes             median ${result.growthErrorMedianMicrometres.toFixed(2)} µm, 95 % ${result.growthError95Micrometres.toFixed(2)} µm
falsely fit                        ${result.falselyFitPerMillion.toFixed(0)} per million samples (bar 100), ${result.falselyFitOfFitPerMillion.toFixed(0)} per million fit ones
  if this instant's conditions held  ${result.falselyFitInstantPerMillion.toFixed(0)} per million samples (no bar: what began a moment ago cannot be known)
falsely unfit                      ${result.falselyUnfitPercent.toFixed(1)} %
fit / unknown                      ${result.fitPercent.toFixed(1)} % / ${result.unknownPercent.toFixed(2)} %
verdict changes                    ${result.verdictChangesPerMachineAndDay.toFixed(1)} a machine, work class and day`)
if (values.json) {
  const { axes, ...figures } = result
  writeFileSync(values.json, `${JSON.stringify({ seed, days, scenario, ...figures, axes }, null, 2)}\n`)
}
const bad = result.axes.some(a => !(a.errorMedian <= a.allowedMedian)) || result.falselyFitPerMillion > 100
process.exit(bad ? 1 : 0)
