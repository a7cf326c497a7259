import type { Machine } from '../../../core/shop.js'
import type { Measurement } from '../../../core/state.js'
import { readLength, type TableFault, type TableRow, timeReader } from '../../table/index.js'

/** headings of a table of measurements */
export const measurementColumns = ['axis', 'zero', 'time', 'value', 'uncertainty', 'position', 'note'] as const
export const mandatoryColumns = ['axis', 'zero', 'time', 'value', 'uncertainty'] as const

type Entered = Omit<Measurement, 'id' | 'setAside'>

/** m; what a machine's growth cannot exceed */
const farthest = 0.005
/** ms */
const longestAgo = 400 * 86_400_000

type Fault = (problem: string, remedy: string) => void

const times = (cells: TableRow['cells'], zone: string, now: number, fault: Fault): [number, number] | null => {
  const read = timeReader({ zone, scale: null })
  const zero = read(cells.zero ?? '', null)
  const time = read(cells.time ?? '', null)
  for (const each of [zero, time]) if ('problem' in each) fault(each.problem, each.remedy)
  if ('problem' in zero || 'problem' in time) return null
  if (time.at > now + 60_000) fault(`"${cells.time}" lies ahead of now`, 'give the time at which it was read')
  else if (zero.at >= time.at)
    fault(
      `the zero "${cells.zero}" is not before the time "${cells.time}"`,
      'give the time of zeroing, then of reading',
    )
  else if (time.at - zero.at > longestAgo)
    fault('the zero is more than 400 days before the reading', 'check both times')
  else return [zero.at, time.at]
  return null
}

const lengths = ({ cells, units }: TableRow, fault: Fault): { value: number; uncertainty: number } | null => {
  const value = readLength(cells.value ?? '', units.value ?? '')
  const uncertainty = readLength(cells.uncertainty ?? '', units.uncertainty ?? '')
  if ('problem' in value) fault(`value: ${value.problem}`, value.remedy)
  if ('problem' in uncertainty) fault(`uncertainty: ${uncertainty.problem}`, uncertainty.remedy)
  if ('problem' in value || 'problem' in uncertainty) return null
  if (Math.abs(value.value) > farthest) fault(`the value "${cells.value}" is more than 5 mm`, 'check the unit')
  else if (!(uncertainty.value > 0) || uncertainty.value > farthest)
    fault(
      `the uncertainty "${cells.uncertainty}" is not above 0 and up to 5 mm`,
      'give the standard uncertainty of one reading, for example 0.5 µm',
    )
  else return { value: value.value, uncertainty: uncertainty.value }
  return null
}

/**
 * Measurements from the rows of a table, a row a step.
 *
 * @param zone of the shop, for times without one
 * @param now  ms
 * @returns measurements, or what is wrong in which row
 */
export function* readingMeasurements(
  rows: readonly TableRow[],
  machine: Machine,
  { by, note, zone, now }: { by: string; note: string; zone: string; now: number },
): Generator<void, { measurements: Entered[]; faults: TableFault[] }> {
  const measurements: Entered[] = []
  const faults: TableFault[] = []
  for (const row of rows) {
    yield
    const fault: Fault = (problem, remedy) => faults.push({ line: row.line, problem, remedy })
    const { cells, units } = row
    const axis = machine.axes.find(a => a.id.toLowerCase() === (cells.axis ?? '').trim().toLowerCase())
    if (!axis) {
      const known = machine.axes.map(a => a.id).join(', ')
      fault(`"${cells.axis ?? ''}" is not an axis of ${machine.name}`, `write one of ${known}`)
      continue
    }
    const when = times(cells, zone, now, fault)
    const what = lengths(row, fault)
    const place =
      (cells.position ?? '') === '' ? { value: axis.workAt } : readLength(cells.position!, units.position ?? '')
    if ('problem' in place) fault(`position: ${place.problem}`, place.remedy)
    else if (place.value < 0 || place.value > axis.travel)
      fault(`the position "${cells.position}" is outside the travel`, 'count positions from 0 to the full travel')
    else if (when && what)
      measurements.push({
        machine: machine.id,
        axis: axis.id,
        position: place.value,
        zeroAt: when[0],
        at: when[1],
        ...what,
        enteredAt: now,
        by,
        note: (cells.note || note).slice(0, 500),
      })
  }
  return { measurements, faults }
}
