/** The scrap investigation: was it heat, how much of it, how sure. */
export * from './answer.js'
export type { Course } from './chance.js'
export { bestDelay, clockOffset } from './delay.js'
export type { Column } from './other-causes.js'
export {
  type AxisAt,
  type AxisVariances,
  type Making,
  predictedError,
  timesOf,
  type ZeroAt,
} from './predicted.js'
export { type JudgedPart, rejectCurve, verdictTable } from './rejects.js'
export { settlesOf } from './settles.js'
export { shareExplained } from './share-explained.js'
export {
  chanceLevel,
  concluded,
  type Examined,
  examine,
  examineAll,
  type FeatureParts,
  type HeatFinding,
} from './was-it-heat.js'
export { type PartOtherwise, whatIf } from './what-if.js'
