/** ms; what one block of readings or minutes spans */
export const hour = 3_600_000
/** ms; what one block of quarter hours spans */
export const day = 86_400_000

/** more than there will ever be sensors, or days */
const slots = 2 ** 22

/** By hour, then sensor: blocks are written and deleted side by side. @param begin ms, the hour's */
export const hourKey = (sensor: number, begin: number): number => (begin / hour) * slots + sensor
export const hourOfKey = (key: number): number => Math.floor(key / slots) * hour
export const sensorOfKey = (key: number): number => key % slots

/** By sensor, then day: years of one sensor lie side by side. @param begin ms, the day's */
export const dayKey = (sensor: number, begin: number): number => sensor * slots + begin / day
export const sensorOfDayKey = (key: number): number => Math.floor(key / slots)
export const dayOfKey = (key: number): number => (key % slots) * day

/** the beginning of the hour, day or other span of `width` in which a time lies; all in ms */
export const beginOf = (time: number, width: number): number => time - (time % width)
