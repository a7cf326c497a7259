/** Level, squareness and spindle tram: what was found, how warm the machine was, and whether the one follows the other. */
export * from './check.js'
export { followsTemperature } from './follows.js'
export { bothWays, parseSlope } from './slope.js'
