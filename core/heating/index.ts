/** When heating or cooling must come on so that a machine is fit by a given time. */
export { type HeatingAnswer, heatingAnswer, type MachineHeating } from './answer.js'
export { fitOnceHeated, type HeatingQuestion, heatingStart, waitingAfter } from './heating-start.js'
export { type LearnedAir, learnedAir, usualTime } from './learned.js'
export { type Setback, setbacksIn } from './setbacks.js'
export { stepResponse } from './step-response.js'
