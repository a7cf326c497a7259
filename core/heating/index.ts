/** When heating or cooling must come on so that a machine is fit by a given time. */
export { type HeatingAnswer, heatingAnswer, type MachineHeating } from './answer.js'
export { fitOnceHeated, type HeatingQuestion, heatingStart, waitingAfter } from './heating-start.js'
export { learnedAir, usualTime } from './learned.js'
export { type Setback, setbacksIn } from './setbacks.js'
