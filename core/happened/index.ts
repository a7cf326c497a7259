/** What happened on a machine over a stretch of its past, and what would have become of jobs begun then. */
export { type HappenedAnswer, happenedAnswer, type JobOutcome, type JobsBegun, type Mark } from './answer.js'
export { jobsBegunIn, type TemperaturesThen } from './jobs-begun.js'
export { offsetBy, type WorkChange, workChange, workChangeKind } from './work-change.js'
