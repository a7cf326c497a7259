import { defaultVerdictSettings } from '../core/judge/index.js'
import type { Machine, Sensor, Shop } from '../core/shop.js'
import type { Reading } from './ingest/reading.js'
import { joinByInterval } from './join-by-interval.js'
import { anewIn, createMonitor, type LiveMonitor, rememberedMornings } from './monitor/index.js'
import { datumWithOffsets } from './offsets.js'
import type { Series, Store } from './store/store.js'
import { identificationsOf, useIdentifications } from './studies/identification/index.js'
import { knownSpindleOf } from './studies/spindle/spindle-tests.js'

/** ms; what a monitor needs to have seen to know its machines, and the last part of it in single readings */
const seen = 48 * 3_600_000
const single = 2 * 3_600_000
/** ms; what a usual day is learned from, the part before `seen` only for that, and what became of times that were named */
const usual = 14 * 24 * 3_600_000
const halfHour = 1_800_000
/** fewer points than the quarter hours of that part and more than its hours, so that quarter hours answer */
const quarterHours = 1000
/** more than the quarter hours of that time and less than its minutes, so that minutes answer where there are any */
const points = 1000

/** ms; temperatures of the earlier part are taken as means of this time, as the monitor itself keeps them */
const coarse = 300_000
/** ms; from the beginning of an interval to its middle, where its mean belongs */
const middle: Record<Series['level'], number> = { reading: 0, minute: 30_000, 'quarter hour': 450_000, hour: 1_800_000 }

const summarised = async (
  store: Pick<Store, 'series'>,
  sensor: Sensor,
  from: number,
  to: number,
): Promise<Reading[]> => {
  const reading = (at: number, value: number): Reading => ({ sensor: sensor.id, at, value, receivedAt: at })
  const series = await store.series(sensor.id, from, to, points)
  const offset = middle[series.level]
  if (sensor.unit === 'state') return series.points.map(point => reading(point.at + offset, Math.round(point.mean)))
  if (series.level !== 'minute') return series.points.map(point => reading(point.at + offset, point.mean))
  return joinByInterval(series.points, coarse).map(p => reading(Math.min(p.at + coarse / 2, to - 1), p.mean))
}

/**
 * What was stored lately, as if it came again: means of five minutes where there are many readings (states: of one),
 * then every reading of the last two hours. So a start takes hardly longer when sensors report often.
 *
 * @param now ms
 * @returns in order of time
 */
export const readingsLately = async (
  store: Pick<Store, 'series' | 'readings'>,
  sensors: readonly Sensor[],
  now: number,
): Promise<Reading[]> => {
  const summaries = await Promise.all(sensors.map(sensor => summarised(store, sensor, now - seen, now - single)))
  const before = summaries.flat()
  before.sort((a, b) => a.at - b.at)
  // what bears a later time was stored while the clock was wrong, and would hide what comes now
  for await (const together of store.readings(now - single, now + 1))
    for (const reading of together) before.push(reading)
  return before
}

/** Means of half hours of what is at nodes, from before what `readingsLately` has; of each node's first sensor. */
export const usualLately = async (
  store: Pick<Store, 'series'>,
  sensors: readonly Sensor[],
  now: number,
): Promise<Reading[]> => {
  const places = new Set<string>()
  const first = sensors.filter(({ at }) => {
    const place = JSON.stringify(at)
    return at.kind === 'node' && !places.has(place) && places.add(place)
  })
  const [from, to] = [now - usual, now - seen]
  const all = await Promise.all(
    first.map(async ({ id }) => {
      const { points: quarters } = await store.series(id, from, to, quarterHours)
      return joinByInterval(quarters, halfHour).map(({ at, mean }) => ({ sensor: id, at, value: mean, receivedAt: at }))
    }),
  )
  return all.flat().sort((a, b) => a.at - b.at)
}

/** What is on record of some machines and their sensors, as a monitor is told of it. */
const recoveredOf = async (
  shop: Shop,
  machines: readonly Machine[],
  sensors: readonly Sensor[],
  store: Pick<Store, 'series' | 'readings' | 'facts'>,
  now: number,
) => {
  const { facts } = store
  const ids = new Set(sensors.map(({ id }) => id))
  const [offsets, verdicts, datums, factors, trust] = await Promise.all([
    facts.of('offset'),
    facts.newest('verdict'),
    facts.of('datum', { subject: machines.map(({ id }) => id) }),
    facts.newest('factors'),
    facts.newest('trust', now - seen),
  ])
  const spindles = await Promise.all(machines.map(({ id }) => knownSpindleOf(store, id)))
  const identified = await Promise.all(machines.map(machine => identificationsOf(shop, store, machine, now)))
  const readings = await readingsLately(store, sensors, now)
  const usually = await usualLately(store, sensors, now)
  return {
    newestReading: readings.at(-1)?.at ?? Number.NEGATIVE_INFINITY,
    lastVerdicts: verdicts.filter(({ machine }) => machines.some(({ id }) => id === machine)),
    datums: datums.map(datum => {
      const machine = machines.find(({ id }) => id === datum.machine)!
      return datumWithOffsets(datum, machine, shop, offsets)
    }),
    /** tells a monitor that follows these machines already */
    tell(monitor: LiveMonitor): void {
      for (const [i, { id }] of machines.entries()) {
        monitor.setFactors(id, factors.find(({ machine }) => machine === id)?.factors ?? {})
        monitor.setSpindle(id, spindles[i]!)
        useIdentifications(monitor, id, identified[i]!)
      }
      const isTheirs = ({ sensor }: { sensor: string }) => ids.has(sensor)
      monitor.recall(usually)
      monitor.replay(readings.filter(isTheirs), trust.filter(isTheirs), now)
    },
  }
}

/**
 * A monitor that knows what the store knows: readings, the verdicts that stand, datums, factors, identified time
 * constants, and which sensors were not believed.
 */
export const recoveredMonitor = async (
  shop: Shop,
  store: Pick<Store, 'series' | 'readings' | 'facts'>,
  now: number,
): Promise<LiveMonitor> => {
  const [pastVerdicts, fitBys] = await Promise.all([
    store.facts.of('verdict', { from: now - rememberedMornings }),
    store.facts.of('fit by', { from: now - usual }),
  ])
  const { newestReading, lastVerdicts, datums, tell } = await recoveredOf(shop, shop.machines, shop.sensors, store, now)
  const monitor = createMonitor({
    shop,
    lastVerdicts: lastVerdicts.map(verdict => ({ ...verdict, at: Math.min(verdict.at, now) })),
    goesOn: now - newestReading <= defaultVerdictSettings.shortGap * 1000,
    pastVerdicts,
    fitBys,
    datums,
  })
  tell(monitor)
  return monitor
}

/**
 * Lets another shop file take effect on a monitor that runs: what it makes anew recovers its past from the store, as at a
 * start; the rest goes on.
 *
 * @param shop as it is in force, and becomes `next`
 */
export const changeShop = async (
  monitor: LiveMonitor,
  shop: Shop,
  next: Shop,
  store: Pick<Store, 'series' | 'readings' | 'facts'>,
  now: number,
): Promise<void> => {
  const anew = anewIn(shop, next)
  const { lastVerdicts, datums, tell } = await recoveredOf(
    next,
    next.machines.filter(({ id }) => anew.machines.has(id)),
    next.sensors.filter(({ id }) => anew.sensors.has(id)),
    store,
    now,
  )
  // from here on nothing waits, so that nobody sees a machine of which nothing is known yet
  monitor.change(next, anew, { lastVerdicts, datums })
  tell(monitor)
  monitor.advance(now)
}
