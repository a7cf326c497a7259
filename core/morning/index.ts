/** The morning check: what is planned, what is answered, and the check as a whole. */
export * from './answer.js'
export * from './check.js'
export * from './makes.js'
export * from './planned-job.js'
