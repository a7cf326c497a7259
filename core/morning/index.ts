/** The morning check: what is planned, what is answered, and the check as a whole. */
export * from './answer.js'
export * from './check.js'
export { type Course, fastestOf, swingOf } from './course.js'
export * from './makes.js'
export { type AirOfNight, growthOfNight, type NightCourses, nightOf } from './night.js'
export * from './planned-job.js'
export { setbackOf, setbackSeen } from './setback.js'
export { leastNights, type UsualCourse, usualCourse } from './usual.js'
