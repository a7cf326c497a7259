import type { PlaceKind, SensorFault } from '../reason.js'

/** °C; how near to 85 °C counts as the code, since a device may send it in °F */
const codeWidth = 0.001
/** K; a part that is really at 85 °C was nearly as warm one reading before */
const gradual = 5

/**
 * Device fault codes: a common digital sensor reports 85 °C after power-on, before its first conversion, and its driver
 * libraries −127 °C when it is disconnected. Common practice, no source. A part that warms up to 85 °C passes through
 * the values below it; the code comes out of nowhere.
 *
 * @param value °C as measured
 * @param before the believed reading before it, °C; null when there is none or it is long ago
 */
export const faultCode = (value: number, before: number | null): SensorFault | null => {
  if (Math.abs(value + 127) < codeWidth) return { kind: 'fault code', code: 'disconnected' }
  const isCode = Math.abs(value - 85) < codeWidth && !(before !== null && Math.abs(value - before) <= gradual)
  return isCode ? { kind: 'fault code', code: 'restarted' } : null
}

/**
 * °C; beyond this a reading is wrong, whatever happens. Judgement, no source: a spindle's housing may reach 80 °C, air
 * where people work does not; beside a door it can be as cold as outdoors, beside an oven hotter than any machine.
 */
const plausible: Record<PlaceKind, { lowest: number; highest: number }> = {
  body: { lowest: -20, highest: 110 },
  air: { lowest: -25, highest: 65 },
  coolant: { lowest: -5, highest: 80 },
  source: { lowest: -45, highest: 150 },
  outdoors: { lowest: -55, highest: 65 },
}

/**
 * Whether a value lies outside what is plausible where the sensor is.
 *
 * @param value °C, with the sensor's offset
 * @param place kind of place that it measures
 * @returns null where it is plausible
 */
export const outOfRange = (value: number, place: PlaceKind): SensorFault | null => {
  const { lowest, highest } = plausible[place]
  if (value >= lowest && value <= highest) return null
  return { kind: 'out of range', value, place, lowest, highest }
}
