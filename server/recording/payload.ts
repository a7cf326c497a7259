import type { Sensor } from '../../core/shop.js'
import { absoluteZero, toFahrenheit } from '../../core/units.js'

/** One reading to be published. */
export interface Sending {
  sensor: Sensor
  /** ms; the time it carries, where its payload has one */
  at: number
  /** °C, or 1 and 0 */
  value: number
}

/** °F and K are computed: six decimals hide what rounding leaves behind (68.00000000000001) and lose nothing real */
const tidy = (value: number): number => Number(value.toFixed(6))

/** as the sensor would send it */
const onTheWire = (value: number, unit: Sensor['unit']): number => {
  if (unit === '°F') return tidy(toFahrenheit(value))
  if (unit === 'K') return tidy(value - absoluteZero)
  return value
}

type Tree = { [key: string]: unknown }

/** puts a value at a dotted path; what stands in the way is not overwritten */
const put = (tree: Tree, path: string, value: unknown): void => {
  const keys = path.split('.')
  const last = keys.pop()!
  let at = tree
  for (const key of keys) {
    if (typeof at[key] !== 'object' || at[key] === null) at[key] = Object.create(null) as Tree
    at = at[key] as Tree
  }
  at[last] = value
}

/**
 * The message that carries readings of one topic and moment: a bare number, or JSON with each sensor's value and time
 * where the shop file has them.
 *
 * @param together of the same topic and time; bare numbers take the last one
 */
export const payloadOf = (together: readonly Sending[]): string => {
  const tree = Object.create(null) as Tree
  let bare: string | null = null
  for (const { sensor, at, value } of together) {
    const written = onTheWire(value, sensor.unit)
    if (sensor.payload.kind === 'number') bare = String(written)
    else {
      put(tree, sensor.payload.value, written)
      if (sensor.payload.time !== undefined) put(tree, sensor.payload.time, new Date(at).toISOString())
    }
  }
  return bare ?? JSON.stringify(tree)
}

/** whether the sensor's messages say when they were measured */
export const carriesTime = ({ payload }: Sensor): boolean => payload.kind === 'json' && payload.time !== undefined
