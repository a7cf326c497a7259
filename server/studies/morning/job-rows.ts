import { findMaterial } from '../../../core/materials.js'
import { type JobFeature, type JobPlan, machinesFor, type PartFrom } from '../../../core/morning/index.js'
import type { Machine, Shop } from '../../../core/shop.js'
import { fastestOf, type ToolList } from '../../../core/spindle/index.js'
import {
  parseDuration,
  parseLength,
  parseMass,
  parsePercent,
  parseSpeed,
  parseTemperature,
  toPerMinute,
} from '../../../core/units.js'
import {
  axisIn,
  type CellFault,
  choice,
  machineIn,
  quoted,
  type TableRow,
  takingRows,
  timeKind,
  timeReader,
  valueIn,
  WrongCell,
} from '../../table/index.js'
import { ownMaterials } from './own-materials.js'
import { featureSize } from './size-cells.js'

/** headings of a table of jobs. A row without a part is a further feature of the job above it */
export const jobColumns = [
  'part',
  'feature',
  'size',
  'tolerance',
  'axis',
  'reads',
  'material',
  'machine',
  'start',
  'duration',
  'share',
  'zeroed',
  'from',
  'temperature',
  'brought',
  'mass',
  'thickness',
  'diameter',
  'speed',
  'tools',
] as const
export const mandatoryJobColumns = ['part', 'size', 'material', 'machine', 'start', 'duration'] as const
type Column = (typeof jobColumns)[number]

/** how much of a tolerance heat may take where nothing is written; common practice, no source */
const usualShare = 0.3
/** the largest that may be granted to heat */
const largestShare = 0.5
/** 1/s; what turns faster is a slip of the pen */
const fastest = 5000
/** s */
const longest = 7 * 86_400
/** ms */
const longestPast = 2 * 86_400_000
const longestAhead = 60 * 86_400_000

type Cell = (column: Column) => string

interface Context {
  shop: Shop
  /** ISO 8601; of times that are written without a date */
  day: string
  /** ms */
  now: number
  /** those of all machines, of which a job may name one */
  toolLists: readonly Pick<ToolList, 'id' | 'machine' | 'name' | 'job'>[]
}

const timeIn = (cell: Cell, column: Column, { shop, day }: Context): number => {
  const text = cell(column)
  const read = timeReader({ zone: shop.timeZone, scale: null })(
    timeKind(text) === 'clock' ? `${day} ${text}` : text,
    null,
  )
  if ('problem' in read)
    throw new WrongCell(column, read.problem, 'write the time of day, as 07:30, or date and time, as 2026-01-14 07:30')
  return read.at
}

/** "Mill 1", "mill-1 or Mill 2", "any" → ids, those that can make the part */
const machinesIn = (cell: Cell, machines: readonly Machine[], part: string): string[] => {
  const text = cell('machine')
  const any = /^any$/i.test(text)
  const named = text
    .replace(/^any of /i, '')
    .split(/[|/+,]| or /i)
    .map(each => each.trim())
    .filter(each => each !== '')
  if (named.length === 0)
    throw new WrongCell('machine', 'no machine is named', 'write the machine, several as Mill 1 or Mill 2, or any')
  const ids = any ? [] : named.map(name => valueIn('machine', machineIn(machines, name)).id)
  const found = machinesFor(machines, part, ids)
  if (found.length > 0) return found
  throw new WrongCell(
    'machine',
    `no machine of the shop file says that it makes ${quoted(part)}`,
    'name the machine here, or add the part to "makes" of a machine in the shop file',
  )
}

const featureIn = (
  cell: Cell,
  units: TableRow['units'],
  machines: readonly Machine[],
  ids: readonly string[],
): JobFeature => {
  const found = featureSize(
    { size: cell('size'), tolerance: cell('tolerance') },
    { size: units.size ?? '', tolerance: units.tolerance ?? '' },
  )
  if ('problem' in found) throw new WrongCell(found.column, found.problem, found.remedy)
  const axis = cell('axis')
  const diameter = valueIn('reads', choice(cell('reads'), ['position', 'diameter'], 'position')) === 'diameter'
  const feature = { name: cell('feature').slice(0, 80), ...found, ...(diameter && { diameter }) }
  if (axis === '') return feature
  const first = machines.find(({ id }) => id === ids[0])!
  return { ...feature, axis: valueIn('axis', axisIn(first, axis)).id }
}

const fromIn = (cell: Cell, start: number, context: Context): PartFrom => {
  const kind = valueIn('from', choice(cell('from'), ['shop', 'outdoors', 'store'], 'shop'))
  const at = cell('brought') === '' ? null : timeIn(cell, 'brought', context)
  if (at !== null && at > start)
    throw new WrongCell(
      'brought',
      'the part is brought in after the job starts',
      'write when it comes, before the start',
    )
  if (kind === 'shop') return { kind, ...(at !== null && { since: at }) }
  if (at === null)
    throw new WrongCell('brought', `it is not said when the part comes from ${kind}`, 'write the time, as 06:30')
  if (kind === 'outdoors') return { kind, broughtIn: at }
  const temperature = valueIn('temperature', parseTemperature(cell('temperature')))
  if (temperature < -60 || temperature > 100)
    throw new WrongCell(
      'temperature',
      `a store at ${quoted(cell('temperature'))} is not likely`,
      'check number and unit',
    )
  return { kind, temperature, broughtIn: at }
}

const sizeIn = (cell: Cell, units: TableRow['units']): JobPlan['size'] => {
  const given = (['mass', 'thickness', 'diameter'] as const).filter(column => cell(column) !== '')
  const [column, other] = given
  if (!column) return undefined
  if (other) throw new WrongCell(other, `the part's size is given twice, as ${column} and ${other}`, 'give one of them')
  const text = /^[\d.]+$/.test(cell(column)) ? `${cell(column)} ${units[column] ?? ''}` : cell(column)
  const value = valueIn(column, column === 'mass' ? parseMass(text) : parseLength(text))
  if (!(value > 0)) throw new WrongCell(column, `${quoted(text)} is not above 0`, 'write what the part has')
  return column === 'mass' ? { mass: value } : column === 'thickness' ? { thickness: value } : { diameter: value }
}

/** Which tool list a job goes by, and the fastest that its spindle turns: as it is said, or as its tools do. */
const toolsIn = (
  cell: Cell,
  units: TableRow['units'],
  [planned]: readonly string[],
  { shop, toolLists }: Context,
): Pick<JobPlan, 'speed' | 'tools'> => {
  const { name: machine, spindle } = shop.machines.find(({ id }) => id === planned)!
  const name = cell('tools')
  const own = toolLists.filter(list => list.machine === planned)
  const list = own.find(each => each.name.toLowerCase() === name.toLowerCase())
  if (name !== '' && !list)
    throw new WrongCell(
      'tools',
      `${machine} has no tool list ${quoted(name)}`,
      own.length > 0
        ? `write one of ${own.map(each => each.name).join(', ')}, or nothing`
        : 'enter it in the view Tool plan of the machine first, or write nothing',
    )
  const text = cell('speed')
  if (text === '') return list ? { tools: list.id, speed: fastestOf(list) } : {}
  const speed = valueIn('speed', parseSpeed(/^[\d.]+$/.test(text) ? `${text} ${units.speed ?? '1/min'}` : text))
  const limit = spindle?.highest ?? fastest
  if (!(speed > 0 && speed <= limit * (1 + 1e-9)))
    throw new WrongCell(
      'speed',
      `${quoted(text)} is not above 0 and up to the highest speed of ${machine}, ${Math.round(toPerMinute(limit))} 1/min`,
      'write the fastest that the spindle turns in the job, as 8000 1/min',
    )
  return { speed, ...(list && { tools: list.id }) }
}

const jobIn = (cell: Cell, units: TableRow['units'], context: Context): JobPlan => {
  const { shop, now } = context
  const part = cell('part').slice(0, 120)
  const machines = machinesIn(cell, shop.machines, part)
  const start = timeIn(cell, 'start', context)
  if (start < now - longestPast || start > now + longestAhead)
    throw new WrongCell(
      'start',
      `${quoted(cell('start'))} is not within two days ago and 60 days ahead`,
      'check the date',
    )
  const duration = valueIn('duration', parseDuration(cell('duration')))
  if (!(duration >= 60 && duration <= longest))
    throw new WrongCell(
      'duration',
      `${quoted(cell('duration'))} is not from 1 min to 7 d`,
      'write how long it runs, as 45 min',
    )
  const share = cell('share') === '' ? usualShare : valueIn('share', parsePercent(cell('share')))
  if (!(share > 0 && share <= largestShare))
    throw new WrongCell('share', `${quoted(cell('share'))} is not above 0 and up to 50 %`, 'write for example 30 %')
  const size = sizeIn(cell, units)
  return {
    part,
    features: [featureIn(cell, units, shop.machines, machines)],
    material: valueIn('material', findMaterial(cell('material'), ownMaterials(shop))).name,
    machines,
    start,
    duration,
    share,
    zeroedAt: valueIn('zeroed', choice(cell('zeroed'), ['job start', 'datum'], 'job start')),
    from: fromIn(cell, start, context),
    ...(size && { size }),
    ...toolsIn(cell, units, machines, context),
  }
}

/**
 * Planned jobs from the rows of a table, a row a step. A bad row is refused, the others are taken; a further feature goes with its job.
 *
 * @returns jobs, and what is wrong in which row and column
 */
export function* readingJobs(
  rows: readonly TableRow[],
  context: Context,
): Generator<void, { jobs: JobPlan[]; faults: CellFault[] }> {
  const found: { job: JobPlan | null }[] = []
  const faults = yield* takingRows(rows, (cell: Cell, { units }) => {
    if (cell('part') !== '') {
      // a fault anywhere in a job refuses it with all its features
      found.push({ job: null })
      found.at(-1)!.job = jobIn(cell, units, context)
      return
    }
    const last = found.at(-1)
    if (!last) throw new WrongCell('part', 'no part is named', 'write the name or number of the part')
    if (!last.job) throw new WrongCell('', 'it belongs to a job that is refused', 'put the row of the job right')
    const { job } = last
    last.job = null
    const feature = featureIn(cell, units, context.shop.machines, job.machines)
    last.job = { ...job, features: [...job.features, feature] }
  })
  return { jobs: found.flatMap(({ job }) => job ?? []), faults }
}
