import type { Trust } from '../../core/state.js'
import { calibrationOverdue, overdueRemedy } from '../../core/trust/index.js'
import type { NamedSensor } from '../../server/http/schemas/answers.js'

export const columns = ['name', 'place', 'value', 'age', 'battery', 'signal', 'due', 'trust'] as const
export type Column = (typeof columns)[number]

/** As asked for, and with the ISO day its calibration is due by. */
export type ShownSensor = NamedSensor & { due: string | null }

const isOverdue = (due: string, now: number, timeZone: string): boolean =>
  calibrationOverdue(due, now, timeZone) !== null

/**
 * The day a calibration is due by, and when it is past what follows and what to do; the due day itself still counts.
 */
export const dueInWords = (
  due: string,
  now: number,
  timeZone: string,
): { due: string; follows: string; remedy: string } => {
  const overdue = calibrationOverdue(due, now, timeZone)
  if (!overdue) return { due, follows: '', remedy: '' }
  const follows = `its uncertainty counts ${overdue.factor.toFixed(1)} times`
  return { due: `${due}, overdue`, follows, remedy: overdueRemedy }
}

/** worst first */
const gravity: Record<Trust, number> = { lost: 0, suspect: 1, late: 2, ok: 3 }

// one for all: making a collator costs more than comparing by it
const byWords = new Intl.Collator('en', { numeric: true }).compare

/** what is low comes first, then by its own unit and value; what tells nothing last */
const byLevel = (
  a: { value: number; unit: string; low?: boolean } | undefined,
  b: { value: number; unit: string; low?: boolean } | undefined,
): number => {
  if (!a || !b) return Number(!a) - Number(!b)
  return Number(b.low ?? false) - Number(a.low ?? false) || byWords(a.unit, b.unit) || a.value - b.value
}

const compare: Record<Column, (a: ShownSensor, b: ShownSensor) => number> = {
  name: (a, b) => byWords(a.name, b.name),
  place: (a, b) => byWords(a.place, b.place),
  // what is not known comes last
  value: (a, b) => (a.value ?? Number.POSITIVE_INFINITY) - (b.value ?? Number.POSITIVE_INFINITY),
  age: (a, b) => (b.at ?? 0) - (a.at ?? 0),
  battery: (a, b) => byLevel(a.battery, b.battery),
  signal: (a, b) => byLevel(a.signal, b.signal),
  due: (a, b) => (a.due ?? '9999').localeCompare(b.due ?? '9999'),
  trust: (a, b) => gravity[a.trust] - gravity[b.trust] || byWords(a.name, b.name),
}

/** Sensors in order of a column; the second direction turns it round. */
export const sorted = (sensors: readonly ShownSensor[], column: Column, turned: boolean): ShownSensor[] => {
  const out = [...sensors].sort(compare[column])
  return turned ? out.reverse() : out
}

/** Sensors whose name, place, id or reason contains every word of `text`, of one trust or of any. */
export const matching = (sensors: readonly ShownSensor[], text: string, trust: Trust | null): ShownSensor[] => {
  const words = text.toLowerCase().split(/\s+/).filter(Boolean)
  return sensors.filter(s => {
    if (trust && s.trust !== trust) return false
    const said = `${s.sensor} ${s.name} ${s.place} ${s.reason}`.toLowerCase()
    return words.every(word => said.includes(word))
  })
}

/**
 * How many are believed and how many are not, worst first, how many batteries are low and how many calibrations are
 * overdue: "2 lost, 1 late, 58 ok, 1 battery low, 1 calibration overdue".
 *
 * @param now ms; null when not known yet
 */
export const countsInWords = (sensors: readonly ShownSensor[], now: number | null, timeZone: string): string => {
  const trusts = Object.keys(gravity) as Trust[]
  const counts = trusts.flatMap(trust => {
    const count = sensors.filter(s => s.trust === trust).length
    return count > 0 ? [`${count} ${trust}`] : []
  })
  const overdue = sensors.filter(s => s.due !== null && now !== null && isOverdue(s.due, now, timeZone)).length
  const low = sensors.filter(s => s.battery?.low).length
  return [
    ...counts,
    ...(low > 0 ? [`${low} ${low > 1 ? 'batteries' : 'battery'} low`] : []),
    ...(overdue > 0 ? [`${overdue} calibration${overdue > 1 ? 's' : ''} overdue`] : []),
  ].join(', ')
}
