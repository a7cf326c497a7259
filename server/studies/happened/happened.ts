import { DateTime } from 'luxon'
import { type HappenedAnswer, jobsBegunIn, type TemperaturesThen } from '../../../core/happened/index.js'
import { partUncertainty, zeroOf } from '../../../core/judge/index.js'
import type { Soaking } from '../../../core/settling/index.js'
import type { Machine } from '../../../core/shop.js'
import type { Datum, VerdictChange } from '../../../core/state.js'
import { plannedJobsOf } from '../../actions/index.js'
import {
  evenly,
  growthOver,
  newestAt,
  type Past,
  partThen,
  readLoops,
  type Span,
  soakedUntil,
  stateSensorsOf,
  wasBelieved,
} from '../../history/index.js'
import { airPlaces } from '../morning/airs.js'
import { activeSpans, lookBack } from '../morning/sources.js'
import { type Beliefs, intervalWidth, meansOver, readBeliefs } from '../records/intervals.js'
import { speedometerOf, spindleThen } from '../spindle/spindle-past.js'
import { marksIn } from './marks.js'

const minute = 60_000
const day = 24 * 60 * minute
/** ms; how far back the verdict and the datum that stood at the beginning are looked for */
const before = 60 * day
/** so many intervals are wanted at least, and at most */
const points = { least: 180, most: 720 }
/** s; the longest of a job that is looked at to its end */
const longestJob = 12 * 3600

/** The course with what jobs depend on beside the nodes: the part, the factors and the datum in force. */
const courseOf = async (
  past: Past,
  machine: Machine,
  even: ReturnType<typeof evenly>,
  width: number,
  datums: readonly Datum[],
): Promise<TemperaturesThen> => {
  const loopAt = await readLoops(past, machine)
  const zeros = new Map(datums.map(datum => [datum, zeroOf(machine, datum)]))
  const bath = machine.nodes.findIndex(({ id }) => id === machine.workpiece.node)
  const { timeConstant, uncertainty } = machine.workpiece
  let part: Soaking | null = even[0] ? await partThen(past, machine, even[0].at) : null
  const middles = even.map(({ at }) => at + width / 2)
  const rows = even.map(({ row }, i) => {
    const at = middles[i]!
    const surroundings = row?.nodes[bath]?.temperature
    if (surroundings !== undefined) part = soakedUntil(part, at, surroundings, timeConstant)
    const datum = newestAt(datums, at)
    return {
      loop: loopAt(at),
      nodes: row?.nodes ?? machine.nodes.map(() => null),
      part: part && {
        temperature: part.temperature,
        slope: part.slope,
        uncertainty: partUncertainty(uncertainty, part.slope),
      },
      datum: datum ? zeros.get(datum)! : null,
    }
  })
  return { at: middles, width, rows }
}

/** What stood at the beginning, and what changed until the end. */
const bandsOf = (changes: readonly VerdictChange[], { from, to }: Span): HappenedAnswer['wall'][number]['bands'] =>
  changes.flatMap(({ at, verdict, reason }, i) => {
    const band = { from: Math.max(at, from), to: Math.min(changes[i + 1]?.at ?? to, to), verdict, because: reason }
    return band.to > band.from ? [band] : []
  })

const known = (value: number | undefined) => (value !== undefined && Number.isFinite(value) ? value : null)

/** Mean of the air at each place that the shop has sensors for. */
const airsOver = async (past: Past, span: Span): Promise<HappenedAnswer['places']> => {
  const found: HappenedAnswer['places'] = []
  for (const { id, name, sensors } of airPlaces(past.shop)) {
    if (id !== 'shop-air' && id !== 'outdoors') continue
    const beliefs = await readBeliefs(past, sensors, span.from)
    const width = intervalWidth(sensors)
    const whole = { from: Math.floor(span.from / width) * width, to: Math.ceil(span.to / width) * width }
    const value = await meansOver(past, beliefs, sensors, whole, width)
    found.push({ id, name, at: value.map((_, i) => whole.from + (i + 0.5) * width), value })
  }
  return found
}

/** What the spindle did: its speed as a mean over each interval, where it was believed, and what it added by that. */
const spindleOver = async (
  past: Past,
  { doubted }: Pick<Beliefs, 'doubted'>,
  machine: Machine,
  moments: readonly number[],
  width: number,
): Promise<HappenedAnswer['spindle']> => {
  const sensor = speedometerOf(past.shop, machine)
  if (!sensor || moments.length === 0) return null
  const from = moments[0]! - width / 2
  const { points } = await past.store.series(sensor.id, from, moments.at(-1)! + width / 2, 4 * moments.length)
  const sums = moments.map(() => ({ of: 0, count: 0 }))
  for (const { at, mean, count } of points) {
    const sum = sums[Math.floor((at - from) / width)]
    if (!sum || !wasBelieved(doubted(sensor.id), at)) continue
    sum.of += mean * count
    sum.count += count
  }
  const then = await spindleThen(past, machine, moments)
  return {
    axis: then.find(each => each !== null)?.axis ?? null,
    speed: sums.map(({ of, count }) => (count > 0 ? of / count : null)),
    growth: then.map(each => each?.added ?? null),
    uncertainty: then.map(each => each?.standardUncertainty ?? null),
  }
}

/** Jobs that were planned on a machine, by the shop's days. */
const workOn = async ({ shop, store }: Past, machine: Machine, { from, to }: Span): Promise<HappenedAnswer['work']> => {
  const found: HappenedAnswer['work'] = []
  let moment = DateTime.fromMillis(from, { zone: shop.timeZone }).startOf('day').minus({ days: 1 })
  for (; moment.toMillis() < to; moment = moment.plus({ days: 1 }))
    for (const { job } of await plannedJobsOf(store, moment.toISODate()!)) {
      const end = job.start + job.duration * 1000
      if (job.machines[0] === machine.id && job.start < to && end > from)
        found.push({ from: job.start, to: end, part: job.part, job: job.id })
    }
  return found.sort((a, b) => a.from - b.from)
}

/**
 * What happened on a machine over a stretch of its past, as it was believed then: its temperatures and growth, what was
 * open or ran around it, what people did, what the wall showed, and what would have become of jobs begun then.
 *
 * @param span ms; not beyond now
 * @param now ms
 */
export const happenedOn = async (past: Past, machine: Machine, span: Span, now: number): Promise<HappenedAnswer> => {
  const { shop, store } = past
  const longest = Math.min(longestJob, Math.max(0, ...shop.workClasses.map(({ duration }) => duration)))
  // drift within a job that begins at the end of the span comes after it
  const read = { from: span.from, to: Math.min(now, span.to + longest * 1000) }
  const wanted = Math.min(points.most, Math.max(points.least, (span.to - span.from) / (10 * minute)))
  const history = await growthOver(past, machine, read, (wanted * (read.to - read.from)) / (span.to - span.from))
  const { width } = history
  const even = evenly(history, read)
  const shown = even.filter(({ at }) => at < span.to)
  const at = shown.map(each => each.at + width / 2)
  const datums = (await store.facts.of('datum', { subject: machine.id, to: read.to })).reverse()
  const course = await courseOf(past, machine, even, width, datums)
  const verdicts = await store.facts.of('verdict', { subject: machine.id, from: span.from - before, to: span.to })
  const changesOf = (workClass: string) => verdicts.filter(each => each.workClass === workClass)
  const beliefs = await readBeliefs(past, [], span.from - lookBack)
  const sources: HappenedAnswer['sources'] = []
  for (const { id } of shop.sources) {
    const tell = stateSensorsOf(shop, id)
    if (!machine.exposedTo.includes(id) && tell.length === 0) continue
    sources.push({ source: id, active: tell.length > 0 ? await activeSpans(past, beliefs, tell, span) : null })
  }
  return {
    machine: machine.id,
    ...span,
    at,
    width,
    nodes: machine.nodes.map(({ id }, i) => ({
      node: id,
      value: shown.map(({ row }) => known(row?.nodes[i]?.temperature)),
    })),
    axes: machine.axes.map(({ id }, i) => ({
      axis: id,
      growth: shown.map(({ row }) => known(row?.axes[i]?.atWork)),
      uncertainty: shown.map(({ row }) => known(row?.axes[i]?.uncertainty)),
    })),
    spindle: await spindleOver(past, beliefs, machine, at, width),
    places: await airsOver(past, span),
    sources,
    marks: await marksIn(past, machine, span),
    work: await workOn(past, machine, span),
    wall: shop.workClasses.map(({ id }) => ({ workClass: id, bands: bandsOf(changesOf(id), span) })),
    jobs: shop.workClasses.map(workClass => jobsBegunIn(course, workClass, span, changesOf(workClass.id))),
  }
}
