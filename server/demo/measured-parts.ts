import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { inspectionChoices } from '../../core/inspection/index.js'
import type { Shop } from '../../core/shop.js'
import { inspectionRecorder } from '../inspections/importing.js'
import { readInspections } from '../inspections/read-table.js'
import type { Service } from '../service.js'

/** the file, beside the database: it can be taken back on the page, and sent there again */
export const measuredParts = 'parts-of-last-week.csv'

/** What the table does not say itself, as somebody would say it on the page. */
const said = inspectionChoices.parse({
  constants: { 'longer axis': 'larger', cut: 'one side', zeroed: 'datum' },
})

/** Puts the bins of parts on record that the demo's people measured last week, by the way that any table goes. */
export const enterParts = async ({ store, now }: Pick<Service, 'store' | 'now'>, shop: Shop, data: string) => {
  const bytes = readFileSync(join(data, measuredParts))
  // a history that is shorter than a weekend has no working day, and headings alone are no table
  if (!bytes.toString('utf8').trimEnd().includes('\n')) return
  const { id, faults, table } = await inspectionRecorder(store, now).take(
    () => readInspections(bytes, said, { shop, store, now: now() }),
    measuredParts,
    { by: 'Invented inspector', note: 'bins of last week (invented)' },
    said,
  )
  if (faults[0]) throw new Error(`${measuredParts}, line ${faults[0].line}: ${faults[0].problem}`)
  if (id === null) throw new Error(`${measuredParts} does not say: ${table.preview.missing.join(', ')}`)
}
