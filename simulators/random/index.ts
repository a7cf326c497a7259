/**
 * Random shops: each is an invented plant (what is true) with the shop file its people would write (what is stated).
 * True expansion, time constants, calibration and placement differ from the stated ones as the stated uncertainties say.
 */
export type { PlannedFault } from './faults.js'
export { livelyPlant } from './lively.js'
export { type RandomPlant, randomPlant } from './plant.js'
export { shopFile } from './shop-file.js'
