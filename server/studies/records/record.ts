import {
  type Excursion,
  gapsIn,
  type Interval,
  intervalStatistics,
  limitsKept,
  type RecordSubject,
  type SensorCourse,
} from '../../../core/environment/index.js'
import type { SensorFault } from '../../../core/reason.js'
import type { Sensor } from '../../../core/shop.js'
import { calibrationOverdue } from '../../../core/trust/index.js'
import type { OffsetSince, Past, Span } from '../../history/index.js'
import { type Beliefs, believedIntervals, intervalWidth, readBeliefs } from './intervals.js'

const day = 86_400_000

/** A stretch of time in which a sensor was not believed, and why. */
interface NotBelieved {
  sensor: string
  from: number
  /** ms; null while it lasts */
  to: number | null
  faults: SensorFault[]
}

/** The offsets of a sensor that were in force within a span, oldest first. @param known newest first */
const inForceWithin = (known: readonly OffsetSince[], { from, to }: Span) =>
  known
    .filter(({ at }, i) => at < to && (known[i - 1]?.at ?? Number.POSITIVE_INFINITY) > from)
    .map(({ at, offset }) => ({ since: Math.max(at, from), offset }))
    .reverse()

const notBelieved = (sensors: readonly Sensor[], { doubted, changes }: Beliefs, { from, to }: Span): NotBelieved[] =>
  sensors
    .flatMap(({ id }) =>
      doubted(id)
        .filter(each => each.from < to && each.to > from)
        .map(each => ({
          sensor: id,
          from: each.from,
          to: Number.isFinite(each.to) ? each.to : null,
          faults: changes.flatMap(({ sensor, at, fault }) =>
            sensor === id && fault && fault.kind !== 'earning' && at >= each.from && at < each.to ? [fault] : [],
          ),
        })),
    )
    .sort((a, b) => a.from - b.from)

/** Whole intervals: from the one in which a span begins to the last one that is over by its end. */
const wholeIntervals = ({ from, to }: Span, width: number): Span => {
  const first = Math.floor(from / width) * width
  return { from: first, to: Math.max(first, Math.floor(to / width) * width) }
}

/** °C by interval of the sensors that are held against the limits; a day before the span is read too, for swing and rate. */
const readJudged = async (past: Past, beliefs: Beliefs, { judged }: RecordSubject, span: Span, width: number) => {
  const start = span.from - day
  const read = new Map<string, (Interval | null)[]>()
  for (const sensor of judged)
    read.set(sensor.id, await believedIntervals(past, beliefs, sensor, { from: start, to: span.to }, width))
  const courses = judged.map(({ id, position = null }): SensorCourse => {
    const means = read.get(id)!.map(interval => interval?.mean ?? Number.NaN)
    return { sensor: id, position, means }
  })
  return { start, courses, of: (id: string) => read.get(id)?.slice(Math.round(day / width)) }
}

/**
 * The record of a machine or an area over a period: what its sensors told, how its limits were kept, what is missing, and
 * what all of it rests on. From what was believed then, with the offsets of then; see `history/`.
 *
 * @param now ms; what is after it is no gap
 */
export const environmentRecord = async (past: Past, subject: RecordSubject, asked: Span, now: number) => {
  const width = intervalWidth(subject.sensors)
  const span = wholeIntervals({ from: asked.from, to: Math.min(asked.to, now) }, width)
  const beliefs = await readBeliefs(past, subject.sensors, span.from - day)
  const { start, courses, of } = await readJudged(past, beliefs, subject, span, width)
  const { limits } = subject
  const sensors = []
  for (const sensor of subject.sensors) {
    const intervals = of(sensor.id) ?? (await believedIntervals(past, beliefs, sensor, span, width))
    const doubted = beliefs.doubted(sensor.id)
    sensors.push({
      sensor,
      judged: subject.judged.includes(sensor),
      statistics: intervalStatistics(intervals),
      gaps: gapsIn(intervals, span.from, width, each => doubted.some(d => d.from < each.to && d.to > each.from)),
      /** days past due at the end of the period; null where no day is stated */
      overdue:
        sensor.calibration?.due === undefined
          ? null
          : (calibrationOverdue(sensor.calibration.due, span.to - 1, past.shop.timeZone)?.days ?? 0),
      offsets: inForceWithin(beliefs.offsets(sensor.id), span),
      intervals,
    })
  }
  return {
    ...span,
    interval: width,
    kept: limits && courses[0] ? limitsKept(limits, courses, start, width, Math.round(day / width)) : null,
    sensors,
    notBelieved: notBelieved(subject.sensors, beliefs, span),
  }
}
export type EnvironmentRecord = Awaited<ReturnType<typeof environmentRecord>>

/**
 * How the limits were kept since each of several moments, for every subject that has limits.
 *
 * @param since ms; the earliest first
 */
export const limitsKeptSince = async (past: Past, subjects: readonly RecordSubject[], since: number[], now: number) => {
  const limited = subjects.filter(each => each.limits && each.judged.length > 0)
  const sensors = limited.flatMap(each => each.judged)
  const beliefs = await readBeliefs(past, sensors, since[0]! - day)
  const found = []
  for (const subject of limited) {
    const width = intervalWidth(subject.judged)
    const span = wholeIntervals({ from: since[0]!, to: now }, width)
    const { start, courses } = await readJudged(past, beliefs, subject, span, width)
    const kept = since.map(from =>
      limitsKept(subject.limits!, courses, start, width, Math.floor((from - start) / width)),
    )
    const newest = kept[0]!.excursions.reduce<Excursion | null>((a, b) => (a && a.to >= b.to ? a : b), null)
    found.push({ subject, kept: kept.map(({ all }) => all), newest })
  }
  return found
}
