import { isThermometer, type Sensor } from '../../core/shop.js'

/** of what recordings hold: temperatures, states and a spindle's speed, which is stored and written in 1/s */
export type Unit = Extract<Sensor['unit'], '°C' | '°F' | 'K' | 'state' | '1/min'> | '1/s'

export type RecordedSensor = Sensor & { unit: Exclude<Unit, '1/s'> }

/** Whether readings of a sensor go into recordings and come out of them: those of a growth test do not. */
export const isRecorded = (sensor: Sensor): sensor is RecordedSensor =>
  isThermometer(sensor) || sensor.unit === 'state' || sensor.unit === '1/min'

/** What is told in a unit: a column's unit must tell what its sensor does. */
export const kindOf = (unit: Unit): 'temperature' | 'state' | 'speed' =>
  unit === 'state' ? 'state' : unit === '1/min' || unit === '1/s' ? 'speed' : 'temperature'

/** What to write as the unit of each kind. */
export const unitRemedy = {
  temperature: 'write °C, °F or K',
  state: 'write state, or leave the unit out',
  speed: 'write 1/min, or leave the unit out',
}

const written: readonly [Unit, readonly string[]][] = [
  ['°C', ['c', '°c', 'degc', 'celsius', '℃', 'ºc']],
  ['°F', ['f', '°f', 'degf', 'fahrenheit', '℉', 'ºf']],
  ['K', ['k', 'kelvin']],
  ['1/min', ['1/min', 'min-1', 'rpm', 'r/min', 'rev/min', 'u/min']],
  ['1/s', ['1/s', 'rps']],
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
