/** Calibration: what sensors at one common temperature say about each other. */
export { type CommonTemperature, commonTemperature, type SensorOffset } from './commonTemperature.js'
