import type { Zone } from '../../core/format.js'
import { isThermometer, type Sensor, type Shop } from '../../core/shop.js'
import { type Period, periodAt, readFromTo } from '../frame/period.js'

/** What is compared, and over which period; both live in the address. */
type Stretch = { kind: 'hours'; id: string; hours: number } | { kind: 'period'; id: string; period: Period }

const hours: readonly { id: string; text: string; hours: number }[] = [
  { id: 'hour', text: 'Last hour', hours: 1 },
  { id: '2h', text: 'Last 2 h', hours: 2 },
  { id: '8h', text: 'Last 8 h', hours: 8 },
]

export const stretches: readonly { value: string; text: string }[] = [
  ...hours.map(({ id, text }) => ({ value: id, text })),
  { value: 'night', text: 'Last night' },
  { value: 'fixed', text: 'From – to' },
]

/** @param query with `period=2h`, or `from` and `to` as ISO 8601 with zone */
export const readStretch = (query: Pick<URLSearchParams, 'get'>): Stretch => {
  const fixed = readFromTo(query)
  if (fixed) return { kind: 'period', id: 'fixed', period: { kind: 'fixed', ...fixed } }
  const asked = query.get('period')
  if (asked === 'night') return { kind: 'period', id: 'night', period: { kind: 'named', id: 'night' } }
  const found = hours.find(each => each.id === asked) ?? hours[1]!
  return { kind: 'hours', id: found.id, hours: found.hours }
}

/** @param now ms @returns whole ms */
export const stretchAt = (stretch: Stretch, now: number, zone: Zone): { from: number; to: number } => {
  if (stretch.kind === 'period') return periodAt(stretch.period, now, zone)
  const to = Math.floor(now / 60_000) * 60_000
  return { from: to - stretch.hours * 3_600_000, to }
}

export const thermometers = (shop: Shop): Sensor[] => shop.sensors.filter(isThermometer)

/** @param query with `sensors=all` or ids with commas between; ids that are no sensor's are left out */
export const readSensors = (query: Pick<URLSearchParams, 'get'>, shop: Shop): ReadonlySet<string> => {
  const all = thermometers(shop).map(s => s.id)
  const asked = query.get('sensors') ?? ''
  if (asked === 'all') return new Set(all)
  const ids = new Set(asked.split(','))
  return new Set(all.filter(id => ids.has(id)))
}

/** As the address has them, and as the service is asked. */
export const writtenSensors = (chosen: ReadonlySet<string>, shop: Shop): string =>
  chosen.size === thermometers(shop).length ? 'all' : [...chosen].join(',')

/** Whether all are on one machine, where they may be compared as mounted. */
export const onOneMachine = (chosen: ReadonlySet<string>, shop: Shop): boolean => {
  const machines = thermometers(shop)
    .filter(({ id }) => chosen.has(id))
    .map(({ at }) => (at.kind === 'node' ? at.machine : null))
  return machines[0] !== null && new Set(machines).size === 1
}

interface Group {
  name: string
  sensors: Sensor[]
}

/** Sensors by where they are: machine by machine, then those of the shop. */
export const grouped = (shop: Shop): Group[] => {
  const all = thermometers(shop)
  const machines = shop.machines.map(({ id, name }) => ({
    name,
    sensors: all.filter(({ at }) => at.kind === 'node' && at.machine === id),
  }))
  const rest = all.filter(({ at }) => at.kind !== 'node')
  return [...machines, { name: 'Shop and outdoors', sensors: rest }].filter(group => group.sensors.length > 0)
}
