/** Learning: scale factors of a thermal loop's elements from measured growth, with a prior and a proof. */
export { effectsBetween, loopElements } from './elements.js'
export { type Learned, learnedFactor, learnFactors, type MeasuredGrowth } from './learn.js'
export { type HeldOut, heldOut, validate } from './validate.js'
