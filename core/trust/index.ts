/** Trust: whether a sensor's readings can be believed. Each check is a small function; the monitor combines them. */
export { atOdds, oddsForgotten, oddsWindow } from './at-odds.js'
export { calibrationOverdue, type OverdueCalibration, overdueRemedy } from './calibration.js'
export { clockWrong } from './clock.js'
export {
  type AirFollowing,
  airMoved,
  compareWithAir,
  followsAir,
  meansSpacing,
  noFollowing,
  steppedToAir,
} from './fell-off.js'
export { frozen, type ValueRun } from './frozen.js'
export { faultCode, outOfRange } from './reading.js'
export { earningTime, lateAfterIntervals, notBelievedSince, silence } from './silence.js'
export { isJump, manySpikes, spikesOfAFault, spikesWithin } from './spike.js'
