/** Calibration: what sensors at one common temperature say about each other, and which offset is in force. */
export {
  type CommonTemperature,
  commonTemperature,
  type SensorOffset,
  type SensorSeries,
  stillLimits,
  unknownStep,
} from './common-temperature.js'
export { offsetInForce } from './offset.js'
export { stepOf } from './step.js'
