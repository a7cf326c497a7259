/** Environment: what a machine at rest does with its surroundings' changes (ETVE in the manner of ISO 230-3), and how its surroundings keep to limits. */
export { type Comparison, compareWithLog } from './compare.js'
export { type Excursion, limitsKept, type SensorCourse } from './limits.js'
export { gapsIn, type Interval, intervalStatistics } from './record.js'
export { type Sensitivity, sensitivityToAir } from './sensitivity.js'
export { type RecordSubject, recordSubjects } from './subjects.js'
export { swingBetween, type WorstWindow, worstWindow } from './window.js'
