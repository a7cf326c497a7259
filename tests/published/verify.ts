/** `npm run verify`: prints every check against the outside as a table; ends non-zero when one does not hold. */
import { writeFileSync } from 'node:fs'
import { parseArgs } from 'node:util'
import { holds } from './check.js'
import { smallChangeIndex } from './growth.js'
import { allChecks } from './index.js'
import { leftAfterDay } from './settling.js'

const { values } = parseArgs({ options: { help: { type: 'boolean' }, json: { type: 'string' } } })
if (values.help) {
  console.log(`npm run verify -- [--json FILE]

Prints published values next to what Quiet Iron computes: item, published, computed, difference, allowed, source.
  --json FILE   also writes the rows to FILE
  --help        this text`)
  process.exit(0)
}

const short = (value: number): string =>
  value !== 0 && Math.abs(value) < 1e-4 ? value.toExponential(2) : Number(value.toPrecision(6)).toString()

const rows = allChecks(200).flatMap(({ title, checks }) => checks.map(check => ({ title, ...check })))
const wide = Math.max(...rows.map(row => row.item.length))
let failed = 0
let title = ''
for (const row of rows) {
  if (row.title !== title) {
    title = row.title
    console.log(`\n${title}`)
    console.log(
      `${'item'.padEnd(wide)}  ${['published', 'computed', 'difference', 'allowed'].map(h => h.padStart(12)).join('')}  unit   source`,
    )
  }
  const good = holds(row)
  if (!good) failed++
  const numbers = [row.published, row.computed, row.computed - row.published, row.allowed]
  console.log(
    `${row.item.padEnd(wide)}  ${numbers.map(n => short(n).padStart(12)).join('')}  ${row.unit.padEnd(5)}  ${row.source}${good ? '' : '  ← DOES NOT HOLD'}`,
  )
}
console.log('\nFacts of the trade (common practice, no source)')
const facts = [
  [
    '2 °F on a 20 in screw eats a tolerance of 0.0002 in',
    smallChangeIndex() > 100,
    `${short(smallChangeIndex())} % of it`,
  ],
  [
    'a big change can take a machine a day or more',
    leftAfterDay() > 0.2,
    `after a day ${short(leftAfterDay())} K are left of 10 °F`,
  ],
] as const
for (const [fact, good, figure] of facts) {
  if (!good) failed++
  console.log(`${fact}: ${figure}${good ? '' : '  ← DOES NOT HOLD'}`)
}
if (values.json) writeFileSync(values.json, `${JSON.stringify(rows, null, 2)}\n`)
console.log(`\n${rows.length + facts.length - failed} hold, ${failed} do not`)
process.exit(failed ? 1 : 0)
