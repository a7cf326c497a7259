/** `npm run exam`: predictions and verdicts against the simulator's truth, as tables. */
import { writeFileSync } from 'node:fs'
import { parseArgs } from 'node:util'
import { progressLine } from '../../server/demo/progress-line.js'
import { type ScenarioName, scenarioNames } from '../../simulators/index.js'
import { bars, isMet } from './bars.js'
import { bedBars, bedLines } from './bed/table.js'
import { morningBars, mornings, morningsTable } from './mornings-table.js'
import { examineInParallel } from './parallel.js'
import { partsBars, partsScore, partsTable } from './parts-table.js'
import type { ExamRecord } from './records.js'
import { score } from './score.js'
import { examineDemo, shopNumber } from './shops.js'
import { sourcesBars, sourcesDetail, sourcesTable } from './sources-table.js'
import { barTable, classTable, figures, shopTable, table } from './table.js'
import { suspectLines, whatCameBars, whatCameFigures, whatCameTable } from './what-came-table.js'

const help = `npm run exam -- [options]

Lets invented shops live, runs what their sensors send through the code of the live service, and compares growth, verdicts
and ready times with the simulator's truth. Ends non-zero when a bar is missed, and says which.

With one shop, the default, this is the demo shop; with more they are random ones that differ in climate, season,
building, machines, sensors, work and true material constants.

  --shops N        1 if not given
  --seed N         1 if not given; the same seed gives the same shops
  --days N         14 for the demo shop, 7 for random ones
  --only N         of the random shops, the one with this number (1000 × seed + its place from 1 on)
  --detail         also every axis, machine and work class
  --json FILE      also writes the figures to FILE
  --scenario NAME  of the demo shop: ${scenarioNames.join(', ')}
  --from DATE      of the demo shop: 2026-01-12 if not given (UTC)
  --mornings       of random shops: each working morning at seven, what the morning check answers for planned jobs, and on
                   evenings when the heating must come on, beside a twin of the shop in which it does; 14 days a shop if
                   not given, of which the first two have no morning and the first five no such evening
  --sensors        of random shops: which sensors are believed, healthy ones and, in the last four days, broken ones; 14
                   days if not given
  --bed            instead of shops, so many test beds of other make, machines and rooms, of which only the sensors are
                   looked at: which of them are believed, healthy and broken in nine ways; 30 days are usual
  --sources        of random shops: where the growth of the last three days came from, beside twins of the shop that lived
                   without each cause since two days before, their heating answering; 14 days if not given
  --parts          of random shops: whether heat made parts, of ten features a shop; in half of them heat made half of the
                   variance or more, in the others nothing, but tools wear, lots change and set-ups wander (where
                   heat moves by 2 µm at least, standard deviation); 14 days if not given
  --workers N      2 if not given
  --help           this text

Development uses seeds below 1000. Whether a bar is met is to be judged on others.

Every five minutes, from six hours after the start: the true error of a job begun then is the true size error, and the
true drift within the job if the conditions of the last five minutes hold. A second figure holds the conditions of that
very instant. Falsely fit: fit is shown while the true error is over the share. Falsely unfit: settling or unfit is shown
while it is within.

The columns: the same with the drift that really came ("what came": whatever the machine then did), and with the drift of a
job of its usual kind begun at that moment, run in the simulator beside the shop: its own heat, in the air that came. Jobs
begun are those of the shop's own day. Temperatures ahead are held against what the node's sensors then told (the truth
where it has none); beside them "it stays as it is", its 90 % band the quantiles of the node's changes in the last seven
days. "Fit by", where named, is kept when fit was shown by the time named. Time constants are looked for once a day, as in
the service.

Less of the one is more of the other: the same errors and uncertainties are judged by rules less and more strict side by
side, with another probability of the decision rule, and with other parts of the room that an index must have to become
fit, as measured by how it moves. A doubt that may be gone in a moment is told more roughly there than by the service.

The guard band: the stated expanded uncertainty beyond the true error. A job whose true error lies closer to the share than
that is called fit by nobody who counts uncertainty (ISO 14253-1), so the share of falsely unfit outside it is printed too.

Every quarter of an hour while what settles has a ready time, named or only found: the true one is the first moment from
which the true error of a job begun then stays within the share for ten minutes, if conditions hold. Judged where the true
error was over the share, so that there was something to wait for, and either wait is under 8 h; what would not be ready
within 24 h counts as 24 h. The line above it also has the moments when the true error was within already and only the
verdict waited.

Growth is allowed 1.5 µm or 10 % of itself (median), 3 µm or 20 % (95th percentile), whichever is larger; "of allowed" is
the quantile of error ÷ allowed over all samples, so 1 is the bar. Days and changes are counted for a machine with all its
work classes together.`

const { values } = parseArgs({
  options: {
    help: { type: 'boolean' },
    shops: { type: 'string', default: '1' },
    seed: { type: 'string', default: '1' },
    days: { type: 'string' },
    only: { type: 'string' },
    scenario: { type: 'string', default: 'ordinary' },
    from: { type: 'string', default: '2026-01-12' },
    workers: { type: 'string', default: '2' },
    json: { type: 'string' },
    detail: { type: 'boolean' },
    mornings: { type: 'boolean' },
    sensors: { type: 'boolean' },
    bed: { type: 'boolean' },
    sources: { type: 'boolean' },
    parts: { type: 'boolean' },
  },
})
if (values.help) {
  console.log(help)
  process.exit(0)
}

const shops = Number(values.shops)
const seed = Number(values.seed)
const only = values.only === undefined ? null : Number(values.only)
const isPart = values.mornings || values.sensors || values.bed || values.sources || values.parts
const isDemo = shops === 1 && only === null && !isPart
const days = Number(values.days ?? (isDemo || isPart ? '14' : '7'))
const workers = Number(values.workers)
const from = Date.parse(`${values.from}T00:00:00Z`)
const scenario = scenarioNames.find(name => name === values.scenario) as ScenarioName | undefined
const wrong = [
  !(Number.isInteger(shops) && shops >= 1 && shops < 1000) && '--shops must be a whole number from 1 to 999',
  !(Number.isInteger(seed) && seed >= 0) && '--seed must be a whole number, 0 or more',
  !(days >= 0.5) && '--days must be a number, 0.5 or more (the first six hours do not count)',
  only !== null && !(Number.isInteger(only) && only >= 0) && '--only must be the whole number of a shop',
  !(Number.isInteger(workers) && workers >= 1 && workers <= 64) && '--workers must be a whole number from 1 to 64',
  Number.isNaN(from) && '--from must be a date like 2026-01-12',
  !scenario && `--scenario must be one of ${scenarioNames.join(', ')}`,
].filter(problem => problem !== false)
if (wrong.length || !scenario) {
  console.error(`exam: ${wrong.join('; ')}`)
  process.exit(2)
}

const numbers = only === null ? Array.from({ length: shops }, (_, i) => shopNumber(seed, i + 1)) : [only]
const title = isDemo
  ? `${days} days of the demo shop from ${values.from}, scenario ${scenario}, seed ${seed}`
  : only === null
    ? `${days} days of ${shops} random shops, seed ${seed}`
    : `${days} days of random shop ${only}`
const onProgress = progressLine(title, process.stderr)
if (values.sensors) {
  const found = await examineInParallel('sensors', numbers, days, workers, onProgress)
  console.log(`${title}\n\n${suspectLines(found).join('\n')}`)
  if (values.json) writeFileSync(values.json, `${JSON.stringify(found, null, 2)}\n`)
  process.exit(0)
}
if (values.bed) {
  const found = (await examineInParallel('bed', numbers, days, workers, onProgress)).flat()
  const all = bedBars(found)
  console.log(`${title}, test bed\n\n${bedLines(found).join('\n')}\n\n${barTable(all)}`)
  if (values.json) writeFileSync(values.json, `${JSON.stringify(found, null, 2)}\n`)
  process.exit(all.every(isMet) ? 0 : 1)
}
if (values.sources) {
  const found = (await examineInParallel('sources', numbers, days, workers, onProgress)).flat()
  const all = sourcesBars(found)
  if (values.detail) console.log(sourcesDetail(found))
  console.log(`${title}\n\n${sourcesTable(found)}\n\n${barTable(all)}`)
  if (values.json) writeFileSync(values.json, `${JSON.stringify({ seed, days, bars: all, records: found }, null, 2)}\n`)
  process.exit(all.every(isMet) ? 0 : 1)
}
if (values.parts) {
  const found = partsScore(await examineInParallel('parts', numbers, days, workers, onProgress))
  const all = partsBars(found)
  console.log(`${title}\n\n${partsTable(found)}\n\n${barTable(all)}`)
  if (values.json)
    writeFileSync(values.json, `${JSON.stringify({ seed, days, shops: numbers.length, ...found }, null, 2)}\n`)
  process.exit(all.every(isMet) ? 0 : 1)
}
if (values.mornings) {
  const found = mornings(await examineInParallel('mornings', numbers, days, workers, onProgress))
  const all = morningBars(found)
  console.log(`${title}\n\n${morningsTable(found)}\n\n${barTable(all)}`)
  if (values.json) {
    const { answers: _, ...figures } = found
    writeFileSync(values.json, `${JSON.stringify({ seed, days, shops: numbers.length, ...figures }, null, 2)}\n`)
  }
  process.exit(all.every(isMet) ? 0 : 1)
}
const records: ExamRecord[] = isDemo
  ? [await examineDemo({ seed, from, days, scenario }, onProgress)]
  : await examineInParallel('all', numbers, days, workers, onProgress)
const result = score(records)
const all = [...bars(result), ...whatCameBars(records)]
const missed = all.filter(bar => !isMet(bar))
const messages = records.reduce((sum, record) => sum + record.messages, 0)
const refused = records.reduce((sum, record) => sum + record.refused, 0)

console.log(`${title}: ${messages} messages, ${refused} refused\n`)
if (!isDemo) console.log(`${shopTable(records)}\n`)
if (values.detail) console.log(`${classTable(records)}\n`)
console.log(`${table(result, isDemo || values.detail === true)}\n`)
console.log(`${whatCameTable(records)}\n`)
console.log(barTable(all))
console.log(missed.length ? `\n${missed.length} of ${all.length} bars missed` : `\nall ${all.length} bars met`)
if (!isDemo && only === null && seed < 1000)
  console.log('A seed below 1000 is for development; judge the bars on another.')

if (values.json) {
  const byType = result.types.map(({ type, axes, errorMedian, error95, medianOfAllowed, part95OfAllowed }) => ({
    type,
    axes,
    growthErrorMedianMicrometres: errorMedian,
    growthError95Micrometres: error95,
    growthErrorMedianOfAllowed: medianOfAllowed,
    growthError95OfAllowed: part95OfAllowed,
  }))
  const content = {
    seed,
    days,
    shops: records.length,
    ...(isDemo && { scenario }),
    ...figures(result),
    ...whatCameFigures(records),
    barsMissed: missed.length,
    byType,
    bars: all.map(bar => ({ ...bar, met: isMet(bar) })),
    byShop: records.map(record => ({ shop: record.shop, healthy: record.healthy, ...figures(score([record])) })),
  }
  writeFileSync(values.json, `${JSON.stringify(content, null, 2)}\n`)
}
process.exit(missed.length ? 1 : 0)
