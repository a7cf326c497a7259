import { setImmediate as otherWork } from 'node:timers/promises'
import { gapsIn, recordSubjects } from '../../../core/environment/index.js'
import {
  type AirOfNight,
  growthOfNight,
  type Night,
  type NightCourses,
  nightOf,
  swingOf,
} from '../../../core/morning/index.js'
import { isThermometer, type Machine, type Sensor } from '../../../core/shop.js'
import {
  type GrowthHistory,
  growthOver,
  type Past,
  quarterHour,
  type Span,
  stateSensorsOf,
} from '../../history/index.js'
import { type Beliefs, believedIntervals, intervalWidth, meansOver, readBeliefs } from '../records/intervals.js'
import { limitsKeptSince } from '../records/record.js'
import { type AirPlace, airPlaces } from './airs.js'
import { type LikeNight, nightBegan, nightsLike } from './shifts.js'
import { activeSpans, lookBack } from './sources.js'

const hour = 4 * quarterHour
/** ms; the setback may begin with the shift's end, and the heating usually come after now: so much about the night is read */
const lead = 2 * hour
const ahead = 3 * hour
/** ms; a shorter gap, or failure that is over, is none worth telling in the morning */
const shortestGap = 2 * quarterHour
/** of some hours, so that what is stored in single readings comes back unjoined */
const pointsUnjoined = 20_000

/** What the heavy reading of a morning finds. */
export interface NightStudy {
  night: Night | null
  machines: {
    machine: string
    axes: ReturnType<typeof growthOfNight>[]
    /** bodies that stand off what they follow, and since when (ms) by more than half of what they do now */
    heat: { node: string; since: number }[]
  }[]
  /** stretches of the night without readings, of sensors that report again */
  gaps: { sensor: string; from: number; to: number }[]
}

/** The mean of what the sensors of a place tell, on even intervals of the wall clock of this night. */
const airOfNight = async (
  past: Past,
  beliefs: Beliefs,
  { id, name, sensors }: AirPlace,
  night: Span,
  like: readonly LikeNight[],
): Promise<Omit<AirOfNight, 'outside'>> => {
  const width = intervalWidth(sensors)
  const first = Math.floor((night.from - lead) / width) * width
  const count = Math.ceil((night.to + ahead - first) / width)
  const begins = Array.from({ length: count }, (_, i) => first + i * width)
  const valuesAt = async (moments: readonly number[], to: number) => {
    const from = Math.floor(moments[0]! / width) * width
    const span = { from, to: Math.max(from, Math.floor(to / width) * width) }
    const means = await meansOver(past, beliefs, sensors, span, width)
    return moments.map(at => means[Math.floor((at - from) / width)] ?? null)
  }
  const nights = []
  for (const { then } of like) nights.push(await valuesAt(begins.map(then), then(begins.at(-1)! + width)))
  const value = await valuesAt(begins, night.to)
  return { id, name, at: begins.map(at => at + width / 2), value, nights }
}

const growthIn = (past: Past, machine: Machine, { from, to }: Span, now: number) =>
  growthOver(past, machine, { from, to }, Math.max(1, Math.round((to - from) / quarterHour)), now)

const known = (value: number) => (Number.isFinite(value) ? value : null)

/** Since when each body stands off what it follows by more than half of what it does at the end of the night. */
const heatOf = ({ nodes }: Machine, { rows, width }: GrowthHistory): NightStudy['machines'][number]['heat'] =>
  nodes.flatMap((node, i) => {
    const followed = nodes.findIndex(({ id }) => id === node.follows)
    const rest = node.steadyExcess ?? 0
    const excess = rows.map(row => {
      const [own, other] = [row.nodes[i], row.nodes[followed]]
      return own && other ? own.temperature - other.temperature - rest : Number.NaN
    })
    const end = excess.at(-1)
    if (followed < 0 || end === undefined || Number.isNaN(end)) return []
    const before = excess.findLastIndex(each => !(Math.sign(end) * each > Math.abs(end) / 2))
    return [{ node: node.id, since: before < 0 ? rows[0]!.at : rows[before]!.at + width }]
  })

const machineOfNight = async (past: Past, machine: Machine, night: Span, like: readonly LikeNight[]) => {
  const history = await growthIn(past, machine, night, night.to)
  const courseOf = ({ rows, width }: GrowthHistory, axis: number) => ({
    at: rows.map(({ at }) => at + width / 2),
    value: rows.map(({ axes }) => known(axes[axis]!.atWork)),
  })
  const swings: number[][] = machine.axes.map(() => [])
  for (const { from, to } of like) {
    const then = await growthIn(past, machine, { from, to }, night.to)
    machine.axes.forEach((_, i) => {
      const swing = swingOf(courseOf(then, i).value)
      if (swing !== null) swings[i]!.push(swing)
    })
    await otherWork()
  }
  const axes = machine.axes.map(({ id }, i) => ({ axis: id, ...courseOf(history, i), nights: swings[i]! }))
  return { axes, heat: heatOf(machine, history) }
}

/** s outside the limits that are stated, by kind and id of their subject */
const outsideLimits = async (past: Past, night: Span) => {
  const kept = await limitsKeptSince(past, recordSubjects(past.shop), [night.from], night.to)
  const found = new Map(kept.map(({ subject, kept: [all] }) => [`${subject.kind} ${subject.id}`, all!.outside / 1000]))
  return (kind: 'machine' | 'area', id: string) => found.get(`${kind} ${id}`) ?? null
}

const gapsOf = async (past: Past, beliefs: Beliefs, sensors: readonly Sensor[], night: Span) => {
  const found: NightStudy['gaps'] = []
  for (const sensor of sensors) {
    const width = intervalWidth([sensor])
    const span = { from: Math.ceil(night.from / width) * width, to: Math.floor(night.to / width) * width }
    const intervals = await believedIntervals(past, beliefs, sensor, span, width)
    const gaps = gapsIn(intervals, span.from, width, each =>
      beliefs.doubted(sensor.id).some(d => d.from < each.to && d.to > each.from),
    )
    // what lasts is said as late or lost, and what never was is no gap
    for (const { from, to, why } of gaps)
      if (why === 'no readings' && to < span.to && from > span.from && to - from >= shortestGap)
        found.push({ sensor: sensor.id, from, to })
  }
  return found
}

/**
 * Since when a sensor told nothing good, ms: what is silent or frozen is found some time after its last good reading.
 *
 * @param from ms; when it was found
 */
const failedSince = async ({ store }: Past, { changes }: Beliefs, { id, interval }: Sensor, from: number) => {
  const fault = changes.find(({ sensor, at }) => sensor === id && at === from)?.fault
  if (fault?.kind === 'frozen') return from - 1000 * fault.for
  if (fault?.kind !== 'silent') return from
  // it is found lost after so many intervals, or later where the service itself was away
  const { points } = await store.series(id, from - lead - 100_000 * interval, from, pointsUnjoined)
  return points.at(-1)?.at ?? from
}

const failedIn = async (past: Past, beliefs: Beliefs, sensors: readonly Sensor[], night: Span) => {
  const failed: NightCourses['failed'] = []
  for (const sensor of sensors)
    for (const { from, to } of beliefs.doubted(sensor.id)) {
      if (from >= night.to || to <= night.from) continue
      const since = await failedSince(past, beliefs, sensor, from)
      const lasts = to >= night.to
      if (lasts || to - since >= shortestGap) failed.push({ sensor: sensor.id, from: since, to: lasts ? null : to })
    }
  return failed
}

/**
 * The night from the last shift's end to the last quarter hour that is over, as it was believed, beside the nights of the
 * same kind: for the worker.
 *
 * @param now ms
 */
export const nightStudy = async (past: Past, now: number): Promise<NightStudy> => {
  const { shop } = past
  const to = Math.floor(now / quarterHour) * quarterHour
  const night = { from: Math.min(Math.floor(nightBegan(shop, now) / quarterHour) * quarterHour, to - quarterHour), to }
  const like = nightsLike(shop, night)
  const sensors = shop.sensors.filter(isThermometer)
  const beliefs = await readBeliefs(past, sensors, (like.at(-1)?.from ?? night.from) - lookBack)
  const outside = await outsideLimits(past, night)
  const airs = []
  for (const place of airPlaces(shop))
    airs.push({ ...(await airOfNight(past, beliefs, place, night, like)), outside: outside('area', place.id) })
  const sources: NightCourses['sources'] = []
  for (const { id, kind } of shop.sources) {
    const tell = stateSensorsOf(shop, id)
    if (tell.length === 0) continue
    const nights = []
    for (const span of like) {
      const active = await activeSpans(past, beliefs, tell, span)
      if (active) nights.push(active.reduce((sum, each) => sum + each.to - each.from, 0) / 1000)
    }
    sources.push({ source: id, kind, active: (await activeSpans(past, beliefs, tell, night)) ?? [], nights })
  }
  const machines = []
  for (const machine of shop.machines)
    machines.push({
      machine: machine.id,
      outside: outside('machine', machine.id),
      ...(await machineOfNight(past, machine, night, like)),
    })
  const courses = { ...night, airs, sources, machines, failed: await failedIn(past, beliefs, shop.sensors, night) }
  return {
    night: nightOf(courses),
    machines: machines.map(({ machine, axes, heat }) => ({
      machine,
      axes: axes.map(axis => growthOfNight(courses, axis)),
      heat,
    })),
    gaps: await gapsOf(past, beliefs, sensors, night),
  }
}
