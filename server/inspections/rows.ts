import type { InspectionChoices, InspectionEntry, InspectionUse } from '../../core/inspection/index.js'
import { findMaterial } from '../../core/materials.js'
import type { Material, Shop } from '../../core/shop.js'
import { type Parsed, parseDifference, parseDuration, parseLength, parseTemperature } from '../../core/units.js'
import type { InspectionFault } from '../http/schemas/inspections.js'
import { ownMaterials } from '../studies/morning/own-materials.js'
import { axisIn, choice, machineIn, quoted, type TimeRead, timeReader, type Wrong, wrong } from '../table/index.js'
import type { InspectionColumn } from './headings.js'

/** Cells of one row by their column. */
type Cells = readonly string[]

interface Context {
  shop: Shop
  /** ms */
  now: number
}

/** m; a deviation larger than this part of the size is a mistake of unit or decimal point. Judgement, no source */
const farthest = 0.02
/** ms */
const longestCut = 7 * 86_400_000
const aheadAllowed = 60_000

const plain = /^[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:e[+-]?\d+)?$/i

type Fault = (use: InspectionUse, wrong: Wrong) => null

const isUnknown = (axis: string): boolean => /^(?:unknown|not known|\?|)$/i.test(axis)

/** Takes inspections out of the rows of a table, one after the other. */
export class InspectionRows {
  private readonly columnOf = new Map<InspectionUse, number>()
  private readonly time: (text: string, previous: number | null) => TimeRead
  private readonly materials: readonly Material[]
  /** ms; the cut before, by machine: what tells the two hours apart that clocks repeat */
  private readonly previous = new Map<string, number>()
  /** rows whose time occurs twice */
  repeatedHour = 0
  /** a length had no unit, and none was said */
  unitUnclear = false

  constructor(
    private readonly columns: readonly InspectionColumn[],
    private readonly choices: InspectionChoices,
    private readonly decimalComma: boolean,
    private readonly context: Context,
  ) {
    columns.forEach(({ use }, i) => {
      if (!this.columnOf.has(use)) this.columnOf.set(use, i)
    })
    const { shop } = context
    this.time = timeReader({ zone: choices.offset ?? shop.timeZone, order: choices.order, scale: null })
    this.materials = ownMaterials(shop)
  }

  /** @returns what the row says, or everything that is wrong with it */
  take(cells: Cells, line: number): InspectionEntry | InspectionFault[] {
    const faults: InspectionFault[] = []
    const fault: Fault = (use, { problem, remedy }) => {
      faults.push({ line, column: this.headingOf(use), problem, remedy })
      return null
    }
    const text = (use: InspectionUse) => this.text(cells, use)
    const got = <T>(use: InspectionUse, parsed: Parsed<T>): T | null =>
      'value' in parsed ? parsed.value : fault(use, parsed)
    const given = (use: InspectionUse, what: string): string =>
      text(use) || fault(use, wrong(`${what} is missing`, `write ${what}`)) || ''
    const number = (use: InspectionUse): number | null => {
      const written = this.number(text(use))
      if (written === '') return null
      return plain.test(written)
        ? Number(written)
        : fault(use, wrong(`${quoted(text(use))} is not a number`, 'write a bare number, or nothing'))
    }
    const length = (use: InspectionUse) => this.length(text(use), use, got)

    const part = given('part', 'the part')
    const feature = given('feature', 'the feature')
    const machine = got('machine', machineIn(this.context.shop.machines, text('machine')))
    const axis = machine && !isUnknown(text('axis')) ? got('axis', axisIn(machine, text('axis'))) : null
    const when = this.when(cells, machine?.id ?? '', fault)
    const nominal = length('nominal')
    const measured = nominal === null ? null : this.measured(nominal, length, text, fault)
    const limits = nominal === null ? null : this.limits(nominal, length, text, fault)
    const temperature = text('temperature') === '' ? null : got('temperature', this.temperature(text('temperature')))
    const u = text('temperature uncertainty')
    const uncertainty =
      u === ''
        ? null
        : got('temperature uncertainty', parseDifference(this.withUnit(u, 'temperature uncertainty', 'K')))
    const material = text('material') === '' ? '' : got('material', findMaterial(text('material'), this.materials))
    const gauge = this.gauge(text('gauge'), fault)
    const entry = {
      longer: got('longer axis', choice(text('longer axis'), ['larger', 'smaller'], 'larger')),
      cut: got(
        'cut',
        choice(text('cut'), ['one side', 'both sides', 'diameter'], axis?.readsDiameter ? 'diameter' : 'one side'),
      ),
      zeroed: got('zeroed', choice(text('zeroed'), ['datum', 'each part'], 'datum')),
      toolCount: number('tool count'),
      sequence: number('sequence'),
    }
    if (temperature !== null && !(temperature > -30 && temperature < 80))
      fault('temperature', wrong(`a part at ${quoted(text('temperature'))} is not likely`, 'check number and unit'))
    if (uncertainty !== null && !(uncertainty >= 0 && uncertainty < 20))
      fault('temperature uncertainty', wrong(`${quoted(u)} is not from 0 to 20 K`, 'write for example 0.5 K'))
    if (faults.length > 0) return faults
    this.previous.set(machine!.id, when!.from)
    if (when!.repeated) this.repeatedHour += 1
    return {
      part,
      feature,
      machine: machine!.id,
      axis: axis?.id ?? null,
      longer: entry.longer!,
      cut: entry.cut!,
      zeroed: entry.zeroed!,
      nominal: nominal!,
      ...limits!,
      measured: measured!,
      temperature,
      temperatureUncertainty: uncertainty,
      gauge: gauge ?? '',
      from: when!.from,
      to: when!.to,
      material: typeof material === 'object' ? (material?.name ?? '') : '',
      toolCount: entry.toolCount,
      sequence: entry.sequence,
      serial: text('serial'),
      tool: text('tool'),
      lot: text('lot'),
      setup: text('set-up'),
      who: text('who'),
      note: this.text(cells, 'note', 500),
      other: this.beside(cells),
    }
  }

  private headingOf(use: InspectionUse): string {
    const column = this.columnOf.get(use)
    return column === undefined ? use : this.columns[column]!.heading
  }

  private text(cells: Cells, use: InspectionUse, longest = 200): string {
    const column = this.columnOf.get(use)
    const cell = column === undefined ? '' : (cells[column] ?? '')
    return (cell || (this.choices.constants[use] ?? '')).trim().slice(0, longest)
  }

  private beside(cells: Cells): Record<string, string> {
    const found: [string, string][] = []
    this.columns.forEach(({ use, heading }, i) => {
      const cell = cells[i] ?? ''
      if (use === 'kept beside' && cell !== '') found.push([heading.slice(0, 200), cell.slice(0, 200)])
    })
    return Object.fromEntries(found)
  }

  /** a number with a decimal point, where commas cannot stand between cells */
  private number(text: string): string {
    const tidied = text.replace(/^\u2212/, '-')
    return this.decimalComma ? tidied.replace(/^([+-]?\d*),(?=\d)/, '$1.') : tidied
  }

  private withUnit(text: string, use: InspectionUse, otherwise: string): string {
    const written = this.number(text)
    const column = this.columnOf.get(use)
    const unit = (column === undefined ? '' : this.columns[column]!.unit) || otherwise
    return plain.test(written) && unit !== '' ? `${written} ${unit}` : written
  }

  /** m; null also where nothing is written */
  private length(
    text: string,
    use: InspectionUse,
    got: (use: InspectionUse, parsed: Parsed<number>) => number | null,
  ): number | null {
    if (text === '') return null
    const written = this.withUnit(text, use, this.choices.unit ?? '')
    if (plain.test(written)) this.unitUnclear = true
    return got(use, parseLength(written))
  }

  private temperature(text: string): Parsed<number> {
    return parseTemperature(this.withUnit(text, 'temperature', '°C'))
  }

  private gauge(text: string, fault: Fault) {
    if (text === '' || text === 'at 20 °C') return text
    const found = findMaterial(text, this.materials)
    return 'value' in found
      ? found.value.name
      : fault('gauge', wrong(found.problem, 'write what the gauge is made of, or "at 20 °C" when it was kept there'))
  }

  private when(cells: Cells, machine: string, fault: Fault): { from: number; to: number; repeated: boolean } | null {
    const [date, clock] = [this.text(cells, 'date'), this.text(cells, 'clock')]
    const written = this.text(cells, 'time') || [date, clock].filter(Boolean).join(' ')
    const use = this.columnOf.has('time') ? 'time' : this.columnOf.has('clock') ? 'clock' : 'time'
    if (written === '') return fault(use, wrong('the time of the cut is missing', 'write when it was cut'))
    const read = this.time(written, this.previous.get(machine) ?? null)
    if ('problem' in read) return fault(use, read)
    const from = read.at
    const [endText, widthText] = [this.text(cells, 'end'), this.text(cells, 'width')]
    if (from > this.context.now + aheadAllowed)
      return fault(use, wrong(`${quoted(written)} lies ahead of now`, 'check the date, or give the time with its zone'))
    if (endText !== '') {
      const end = this.time(/^\d{1,2}:\d/.test(endText) && date ? `${date} ${endText}` : endText, from)
      if ('problem' in end) return fault('end', end)
      if (end.at < from || end.at - from > longestCut)
        return fault('end', wrong(`${quoted(endText)} is not within seven days after its begin`, 'check both times'))
      return { from, to: end.at, repeated: read.repeated }
    }
    if (widthText === '') return { from, to: from, repeated: read.repeated }
    const width = parseDuration(this.withUnit(widthText, 'width', 'min'))
    if ('problem' in width) return fault('width', width)
    const half = (width.value * 1000) / 2
    if (!(half >= 0 && half <= longestCut))
      return fault('width', wrong(`${quoted(widthText)} is not from 0 to 14 days`, 'write for example 10 min'))
    return { from: Math.round(from - half), to: Math.round(from + half), repeated: read.repeated }
  }

  private measured(
    nominal: number,
    length: (use: InspectionUse) => number | null,
    text: (use: InspectionUse) => string,
    fault: Fault,
  ): number | null {
    if (!(nominal > 0 && nominal <= 20))
      return fault(
        'nominal',
        wrong(`${quoted(text('nominal'))} is not above 0 and up to 20 m`, 'check number and unit'),
      )
    const use = text('measured') !== '' || !this.columnOf.has('deviation') ? 'measured' : 'deviation'
    if (text(use) === '')
      return fault(use, wrong('nothing was measured', 'write the measured size, or leave the row out'))
    const read = length(use)
    if (read === null) return null
    const deviation = use === 'measured' ? read - nominal : read
    if (Math.abs(deviation) > farthest * nominal)
      return fault(
        use,
        wrong(
          `${quoted(text(use))} is more than ${100 * farthest} % of the size off nominal ${quoted(text('nominal'))}`,
          'check number, unit and decimal point',
        ),
      )
    return nominal + deviation
  }

  /** as sizes, or as deviations from nominal: what lies nearer to nothing than to nominal is one */
  private limits(
    nominal: number,
    length: (use: InspectionUse) => number | null,
    text: (use: InspectionUse) => string,
    fault: Fault,
  ): { lower: number | null; upper: number | null } | null {
    const size = (value: number | null) =>
      value === null ? null : Math.abs(value) < nominal / 2 ? nominal + value : value
    let [lower, upper] = [size(length('lower limit')), size(length('upper limit'))]
    const tolerance = text('tolerance')
    if (tolerance !== '' && lower === null && upper === null) {
      const sign = /^(?:±|\+\/?-)\s*/.exec(tolerance)
      const bare = tolerance.slice(sign?.[0].length ?? 0)
      const read = parseLength(this.withUnit(bare, 'tolerance', this.choices.unit ?? ''))
      if ('problem' in read) return fault('tolerance', read)
      const half = sign ? read.value : read.value / 2
      ;[lower, upper] = [nominal - half, nominal + half]
    }
    if (lower !== null && upper !== null && !(lower < upper))
      return fault('lower limit', wrong('the lower limit is not below the upper one', 'check both limits'))
    const far = [lower, upper].find(limit => limit !== null && Math.abs(limit - nominal) > farthest * nominal * 2)
    if (far !== undefined)
      return fault(
        text('lower limit') === '' && text('upper limit') === '' ? 'tolerance' : 'lower limit',
        wrong('a limit lies far from nominal', 'write limits as sizes or as deviations from nominal, with their unit'),
      )
    return { lower, upper }
  }
}
