/** Parts that were measured: what is on record of each, and what its deviation at the reference temperature is. */
export { type Deviation, deviationAt } from './deviation.js'
export * from './inspection.js'
