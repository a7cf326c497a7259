/** Growth: what a temperature does to a length, from the bar to a machine's whole thermal loop. */
export { columnSlope } from './column.js'
export { type LoopAxis, type LoopElement, type LoopFactors, type ThermalLoop, thermalLoop } from './loop.js'
export { sizeError } from './workpiece.js'
