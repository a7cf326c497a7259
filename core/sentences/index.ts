/** The one place where reasons become sentences: for the pages, tables, records and other systems alike. */
export { sayCommonCause } from './common-cause.js'
export { sayHappened, sayMark, sayWorkChange } from './happened.js'
export { sayHeating } from './heating.js'
export { sayRefusal } from './identification.js'
export {
  sayAssumption,
  sayChance,
  sayChange,
  sayDoubt,
  sayFinding,
  sayOther,
  saySettles,
} from './investigation.js'
export { sayAnswer, sayTodo, sayUnusual } from './morning.js'
export { type Reader, type Sentence, shopReader } from './reader.js'
export { sayReason } from './reasons.js'
export { sayRemedy } from './remedies.js'
export { saySensorFault } from './sensor-faults.js'
export { saySpindleWarning, sayTimeConstant } from './spindle.js'
