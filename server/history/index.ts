/** The past of a machine as it was believed then: temperatures, growth, uncertainty. One way to ask. */
export { believedParts, type Doubted, doubtedStretches, wasBelieved } from './believed.js'
export { type AxisThen, evenly, type GrowthHistory, growthOver, readLoops } from './growth.js'
export { newestAt, type OffsetSince, type Past, readOffsets, stands, withOffsetsAt } from './in-force.js'
export { partAt, partThen, soakedUntil } from './part.js'
export { believedPoints, levelWidth, quarterHour } from './readings.js'
export { bodiesBeside, sensorsAt, stateSensorsOf, unmeasuredBodies } from './sensors.js'
export { joinedSpans, type Span } from './span.js'
export {
  byNode,
  type NodesThen,
  nodesAt,
  temperaturesAt,
  temperaturesOver,
  uncertaintyOf,
} from './temperatures.js'
export { toldStates } from './told.js'
