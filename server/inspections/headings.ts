import type { InspectionChoices, InspectionUse } from '../../core/inspection/index.js'

/** A column of a table of inspections, and what it is. */
export interface InspectionColumn {
  heading: string
  use: InspectionUse
  /** given in the heading; empty: none */
  unit: string
}

/** what cannot be left out: each by one of these */
const needed: readonly (readonly InspectionUse[])[] = [
  ['part'],
  ['machine'],
  ['feature'],
  ['nominal'],
  ['measured', 'deviation'],
  ['time'],
]

const names: Partial<Record<InspectionUse, string>> = {
  part: 'part|part name|part no|part number|part id|item|article|drawing',
  serial: 'serial|serial no|serial number|sn|s/n|piece|piece no',
  machine: 'machine|machine id|machine name|cut on|station',
  feature: 'feature|characteristic|dimension|char|char no|what was measured',
  axis: 'axis',
  'longer axis': 'longer axis|longer axis makes|a longer axis makes it',
  cut: 'cut|sides|how cut|made by',
  zeroed: 'zeroed|zero|zeroed for',
  nominal: 'nominal|nom|target|basic|nominal size',
  'lower limit': 'lower limit|lower|low limit|lsl|min|minimum|lower tolerance|lower tol',
  'upper limit': 'upper limit|upper|high limit|usl|max|maximum|upper tolerance|upper tol',
  tolerance: 'tolerance|tol',
  measured: 'measured|actual|measured value|actual value|actual size|size|value|result|measurement',
  deviation: 'deviation|dev|error|difference',
  time: 'time|time of cut|time of the cut|cut time|cut at|timestamp|time stamp|date time|datetime|date and time|start|cut start|cut begin|cut from|begin|from',
  date: 'date|day',
  clock: 'clock|time of day|hour',
  end: 'end|cut end|cut to|cut until|end time|finished|until|to',
  width: 'width|time width|give or take',
  temperature: 'temperature|part temperature|measured at|temp|part temp',
  'temperature uncertainty': 'temperature uncertainty',
  gauge: 'gauge|gage|gauge material|measured with',
  material: 'material|part material',
  tool: 'tool|tool no|tool number|tool id|insert',
  'tool count': 'tool count|tool life|tool life count|parts on tool|parts since tool change|tool use|count',
  sequence: 'sequence|seq|number|no|order|running number',
  lot: 'lot|batch|material lot|heat|lot no|charge',
  'set-up': 'set up|setup|fixture|clamping|pallet',
  who: 'who|operator|by|machinist|inspector',
  note: 'note|notes|remark|remarks|comment',
}
const byName = new Map(
  Object.entries(names).flatMap(([use, all]) => all.split('|').map(name => [name, use as InspectionUse] as const)),
)

const fold = (text: string): string =>
  text
    .toLowerCase()
    .replace(/[\s_.-]+/g, ' ')
    .trim()

const units = new Set(['mm', 'in', 'inch', 'µm', 'um', '\u03bcm', 'thou', '°c', '°f', 'k', 'min', 's', 'h'])
const isBetween = (character: string | undefined): boolean =>
  character === ' ' || character === ',' || character === '/'

/** "Measured mm", "Measured, mm" → Measured and mm; null where no unit stands behind it */
const withBareUnit = (text: string): { name: string; unit: string } | null => {
  let begin = text.length
  while (begin > 0 && !isBetween(text[begin - 1])) begin -= 1
  let end = begin
  while (end > 0 && isBetween(text[end - 1])) end -= 1
  const unit = text.slice(begin)
  return end > 0 && units.has(unit.toLowerCase()) ? { name: text.slice(0, end), unit } : null
}

const bracketed = /^([^([{]*)[([{]([^()[\]{}]*)[)\]}]$/

/** "Measured (mm)", "Measured mm" → Measured and mm */
const headingParts = (heading: string): { name: string; unit: string } => {
  const text = heading.trim().slice(0, 200)
  const found = bracketed.exec(text)
  if (found) return { name: found[1]!.trim(), unit: found[2]!.trim() }
  return withBareUnit(text) ?? { name: text, unit: '' }
}

/** What a column is by its heading alone; undefined: it does not say. */
export const useOf = (heading: string): InspectionUse | undefined =>
  byName.get(fold(headingParts(heading).name)) ?? byName.get(fold(heading))

/**
 * What each column is: as somebody says, else by its heading; of two that say the same the first. Where a date stands in
 * a column of its own, the time is one of day.
 */
export const columnsOf = (headings: readonly string[], { columns }: InspectionChoices): InspectionColumn[] => {
  const said = (heading: string) => (Object.hasOwn(columns, heading) ? columns[heading] : undefined)
  const taken = new Set<InspectionUse>(headings.flatMap(heading => said(heading) ?? []))
  const found = headings.map((heading): InspectionColumn => {
    const { unit } = headingParts(heading)
    const use = said(heading)
    if (use) return { heading, use, unit }
    if (heading === '') return { heading, use: 'nothing', unit }
    const own = useOf(heading) ?? 'kept beside'
    if (own !== 'kept beside' && taken.has(own)) return { heading, use: 'kept beside', unit }
    taken.add(own)
    return { heading, use: own, unit }
  })
  const dates = found.some(({ use }) => use === 'date')
  const clocks = found.some(({ use }) => use === 'clock')
  return found.map(column => (dates && !clocks && column.use === 'time' ? { ...column, use: 'clock' } : column))
}

/** What is needed and neither a column nor a constant says. */
export const missingUses = (
  columns: readonly InspectionColumn[],
  { constants }: InspectionChoices,
): InspectionUse[] => {
  const there = new Set<string>([...columns.map(({ use }) => use), ...Object.keys(constants)])
  if (there.has('date') && there.has('clock')) there.add('time')
  return needed.flatMap(any => (any.some(use => there.has(use)) ? [] : any[0]!))
}
