/** Settling: how a node follows its surroundings, and where it will be. */
export { lumpedTimeConstant, temperatureAfter, timeToWithin } from './firstOrder.js'
export { followLevel, type Level } from './level.js'
export { correct, type NodeEstimate, type ObserverSettings, predict, startFollowing } from './observer.js'
export { ordinaryChange } from './steadiness.js'
