/** Level, squareness and spindle tram: what was found, how warm the machine was, and whether the one follows the other. */
export {
  type AlignmentAnswer,
  type AlignmentCheck,
  type AlignmentKind,
  alignmentAnswer,
  alignmentCheck,
  alignmentKind,
  type Follows,
} from './check.js'
export { followsTemperature } from './follows.js'
export { bothWays, parseSlope } from './slope.js'
