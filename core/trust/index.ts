/** Trust: whether a sensor's readings can be believed. Each check is a small function; the monitor combines them. */
export { type Doubt, faultCode, outOfRange } from './reading.js'
export { lateAfterIntervals, silence } from './silence.js'
