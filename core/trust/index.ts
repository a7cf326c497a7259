/** Trust: whether a sensor's readings can be believed. Each check is a small function; the monitor combines them. */
export { calibrationOverdue, type OverdueCalibration, overdueRemedy } from './calibration.js'
export { clockWrong } from './clock.js'
export {
  type AirFollowing,
  compareWithAir,
  followingEvidence,
  followingFree,
  followsAir,
  keptOf,
  meansSpacing,
  noFollowing,
  quickFree,
  steppedToAir,
} from './fell-off.js'
export { addRun, frozen, typicalMove, type ValueRun } from './frozen.js'
export { habitAfter, noHabit } from './habit.js'
export { noisy, roughnessAfter } from './noise.js'
export { faultCode, outOfRange } from './reading.js'
export { earningTime, notBelievedSince, seldomAfter, silence, silent } from './silence.js'
export { isJump, manySpikes, spikesOfAFault } from './spike.js'
export {
  commonShift,
  hasDrifted,
  levelAfter,
  levelOfDay,
  levelSpacing,
  noUsualLevel,
  partOfFurthest,
  stepsOff,
  strayedBy,
  strayedHonestly,
} from './usual-level.js'
