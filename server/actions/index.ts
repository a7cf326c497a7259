export { type ActionParts, type Actions, createActions, NotNow, type Signature } from './actions.js'
export { measurementsOf } from './measurements.js'
export { oneAtATime } from './one-at-a-time.js'
export { plannedJobsOf, type StandingJob } from './planned-jobs.js'
