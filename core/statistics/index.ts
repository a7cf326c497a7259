/** Statistics: what the sensor checks and the calibration check stand on. */
export { lineSlope } from './line.js'
export { median } from './median.js'
export { quantile } from './quantile.js'
export { highest, lowest, mean, standardDeviation } from './spread.js'
export { studentFactor } from './student-t.js'
export { theilSenSlope } from './theil-sen.js'
