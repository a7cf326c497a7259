import type { SensorFault } from '../reason.js'

/** s; how far ahead a clock may be. Judgement, no source */
const ahead = 15
/** how far even the quickest of many readings may be behind, the larger of the two counts. Judgement, no source */
const behind = { seconds: 120, intervals: 3 }

/**
 * A clock that is wrong: readings arrive before they were taken, or all of them long after.
 *
 * @param leastDelay shortest time from a reading's own time to its arrival, over readings that came in one by one, s
 * @param interval in which the sensor reports, s
 * @returns null where the clock may be right
 */
export const clockWrong = (leastDelay: number, interval: number): SensorFault | null => {
  const isBehind = leastDelay > Math.max(behind.seconds, behind.intervals * interval)
  return isBehind || leastDelay < -ahead ? { kind: 'clock', behind: leastDelay } : null
}
