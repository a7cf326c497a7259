/** Environment: what a machine at rest does with its surroundings' changes (ETVE in the manner of ISO 230-3), and how its surroundings keep to limits. */
export { type Compared, type Comparison, compareWithLog } from './compare.js'
export {
  type Excursion,
  type LimitKept,
  type LimitKind,
  type LimitsKept,
  limitsKept,
  type SensorCourse,
} from './limits.js'
export { type Gap, gapsIn, type Interval, intervalStatistics, type Statistics } from './record.js'
export { leastSwing, type Sensitivity, sensitivityToAir } from './sensitivity.js'
export { type RecordSubject, recordSubjects } from './subjects.js'
export { swingBetween, type WorstWindow, worstWindow } from './window.js'
