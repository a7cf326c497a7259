import { isThermometer, type Sensor } from '../../core/shop.js'

/** of what recordings hold: temperatures and states */
export type Unit = Extract<Sensor['unit'], '°C' | '°F' | 'K' | 'state'>

export type RecordedSensor = Sensor & { unit: Unit }

/** Whether readings of a sensor go into recordings and come out of them: a spindle's speed and growth do not. */
export const isRecorded = (sensor: Sensor): sensor is RecordedSensor => isThermometer(sensor) || sensor.unit === 'state'

const written: readonly [Unit, readonly string[]][] = [
  ['°C', ['c', '°c', 'degc', 'celsius', '℃', 'ºc']],
  ['°F', ['f', '°f', 'degf', 'fahrenheit', '℉', 'ºf']],
  ['K', ['k', 'kelvin']],
  ['state', ['state', '0/1', '1/0', 'on/off', 'off/on', 'open/closed', 'closed/open', '1openorrunning,0not']],
]
const units = new Map(written.flatMap(([unit, names]) => names.map(name => [name, unit] as const)))

/** @returns undefined when it is no unit a sensor can have */
export const unitOf = (text: string): Unit | undefined => units.get(text.toLowerCase().replace(/\s+/g, ''))

/** "X screw (°F)", "X screw [°F]", "X screw / °F", "X screw, °F", "X screw °F" → name and what stands behind it */
export const splitHeading = (heading: string): { name: string; behind: string } => {
  const bracketed = /^(.*\S)\s*[([{]([^()[\]{}]*)[)\]}]$/.exec(heading)
  if (bracketed) return { name: bracketed[1]!, behind: bracketed[2]!.trim() }
  const bare = /^(.*\S)(?:\s*[/,]\s*|\s+)(°\s?[CFK]|[℃℉])$/i.exec(heading)
  if (bare) return { name: bare[1]!.trim(), behind: bare[2]! }
  return { name: heading, behind: '' }
}
