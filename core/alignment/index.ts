/** Level, squareness and spindle tram: what was found, how warm the machine was, and whether the one follows the other. */
export {
  type AlignmentCheck,
  type AlignmentKind,
  alignmentCheck,
  alignmentKind,
  type Follows,
  followsAnswer,
} from './check.js'
export { followsTemperature } from './follows.js'
export { bothWays, parseSlope } from './slope.js'
