import type { SensorFault, Trust } from '../state.js'
import { median } from '../statistics/index.js'

/** intervals after which a sensor is late: it has then missed two. Judgement, no source */
const lateAfterIntervals = 2.5
/** intervals after which it counts as lost, but never sooner than so many s. Judgement, no source */
const lostAfterIntervals = 20
/** s */
const lostAtLeast = 300

/**
 * Whether a sensor still reports.
 *
 * @param age of its newest reading, s
 * @param interval in which it should report, s
 */
export const silence = (age: number, interval: number): Extract<Trust, 'ok' | 'late' | 'lost'> => {
  if (age > Math.max(lostAfterIntervals * interval, lostAtLeast)) return 'lost'
  return age > lateAfterIntervals * interval ? 'late' : 'ok'
}

/** readings in a row that came late: more is no accident. Judgement, no source */
export const seldomAfter = 5

/**
 * What is said of a silent sensor; one that is late each time, but keeps to a spacing of its own, is told so.
 *
 * @param interval in which it should report, s
 * @param gaps before its last readings that were late, s, without one in time among them
 * @param age of its newest reading, s
 */
export const silent = (interval: number, gaps: readonly number[], age: number): SensorFault => {
  const seldom = median(gaps)
  const keepsToIt = gaps.length >= seldomAfter && Math.max(age, ...gaps) <= 2 * seldom
  return { kind: 'silent', interval, ...(keepsToIt && { seldom }) }
}

/**
 * How long a sensor that was suspect or lost must send good readings without a break before it is believed again, s: ten
 * intervals, ten minutes at least; one that is slower than that for two hours, but no fewer than three intervals. Judgement,
 * no source.
 *
 * @param interval in which it reports, s
 * @returns s
 */
export const earningTime = (interval: number): number => Math.max(600, Math.min(10 * interval, 7200), 3 * interval)

/**
 * Since when a sensor is not to be believed, as pages say it.
 *
 * One that fell silent is found so some time after its last reading; what counts, in a verdict's reason as on every
 * page, is that reading.
 *
 * @param since ms since 1970 UTC; when the fault was found
 * @param at ms since 1970 UTC; the sensor's newest reading, null when it never sent one
 * @returns ms since 1970 UTC
 */
export const notBelievedSince = (of: {
  fault?: { kind: string } | null | undefined
  since: number
  at: number | null
}): number => (of.fault?.kind === 'silent' ? (of.at ?? of.since) : of.since)
