/** Settling: how a node follows its surroundings, and where it will be. */
export { temperatureAfter } from './first-order.js'
export { type Identification, identification, identificationInUse } from './identification.js'
export { type Identified, identifying } from './identify.js'
export { comparingSurroundings } from './identify-air.js'
export { followLevel, type Level } from './level.js'
export { type Course, changeAt, courseStep, type HeldSettling, NodeForecast, spreadAt } from './node-forecast.js'
export {
  correct,
  type NodeEstimate,
  type ObserverSettings,
  predict,
  startFollowing,
  steadyUncertainty,
} from './observer.js'
export type { Refusal } from './refusal.js'
export { type Soaking, soak, soakingUncertainty } from './soaking.js'
export { ordinaryChange } from './steadiness.js'
export { type MeasuredBody, movesWithOffsets, UnmeasuredBody, type UnmeasuredSettings } from './unmeasured-body.js'
export { slotsOfDay } from './usual-day.js'
export { type BodyHeat, drivingExcess, WorkingHeat } from './working-heat.js'
