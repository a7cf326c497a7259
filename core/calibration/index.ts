/** Calibration: what sensors at one common temperature say about each other, and which offset is in force. */
export type { SensorSeries } from './block-means.js'
export { type CommonTemperature, commonTemperature, stillLimits } from './common-temperature.js'
export { offsetInForce } from './offset.js'
export { stepOf } from './step.js'
export { stillMounted } from './still-mounted.js'
