import type { Trust } from '../../core/state.js'
import type { NamedSensor } from '../api.js'

export const columns = ['name', 'place', 'value', 'age', 'trust'] as const
export type Column = (typeof columns)[number]

/** worst first */
const gravity: Record<Trust, number> = { lost: 0, suspect: 1, late: 2, ok: 3 }

const compare: Record<Column, (a: NamedSensor, b: NamedSensor) => number> = {
  name: (a, b) => a.name.localeCompare(b.name, 'en', { numeric: true }),
  place: (a, b) => a.place.localeCompare(b.place, 'en', { numeric: true }),
  // what is not known comes last
  value: (a, b) => (a.value ?? Number.POSITIVE_INFINITY) - (b.value ?? Number.POSITIVE_INFINITY),
  age: (a, b) => (b.at ?? 0) - (a.at ?? 0),
  trust: (a, b) => gravity[a.trust] - gravity[b.trust] || a.name.localeCompare(b.name, 'en', { numeric: true }),
}

/** Sensors in order of a column; the second direction turns it round. */
export const sorted = (sensors: readonly NamedSensor[], column: Column, turned: boolean): NamedSensor[] => {
  const out = [...sensors].sort(compare[column])
  return turned ? out.reverse() : out
}

/** Sensors whose name, place, id or reason contains every word of `text`, of one trust or of any. */
export const matching = (sensors: readonly NamedSensor[], text: string, trust: Trust | null): NamedSensor[] => {
  const words = text.toLowerCase().split(/\s+/).filter(Boolean)
  return sensors.filter(s => {
    if (trust && s.trust !== trust) return false
    const said = `${s.sensor} ${s.name} ${s.place} ${s.reason}`.toLowerCase()
    return words.every(word => said.includes(word))
  })
}
