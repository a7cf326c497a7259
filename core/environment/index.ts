/** Environment test: what a machine at rest does with its surroundings' changes (ETVE in the manner of ISO 230-3). */
export { type Compared, type Comparison, compareWithLog } from './compare.js'
export { leastSwing, type Sensitivity, sensitivityToAir } from './sensitivity.js'
export { swingBetween, type WorstWindow, worstWindow } from './window.js'
