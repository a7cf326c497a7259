/** Growth: what a temperature does to a length, from the bar to a machine's whole thermal loop. */
export { barGrowth } from './bar.js'
export { conductionLength, heldLength, heldPart, riseBeyond } from './bearing.js'
export { columnDeflection, columnSlope } from './column.js'
export { type LoopAxis, type LoopElement, type LoopFactors, type ThermalLoop, thermalLoop } from './loop.js'
export { scaleGrowth } from './scale.js'
export { heldScrewGrowth, pretensionedScrewGrowth, screwGrowth } from './screw.js'
export { sizeError } from './workpiece.js'
