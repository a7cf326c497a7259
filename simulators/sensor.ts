import type { SensorPlant } from './plant.js'
import { randomStream } from './random.js'

/** What can go wrong with a sensor, on demand. */
export const faultKinds = {
  unplugged: 'sends nothing',
  frozen: 'repeats its last value with new times',
  spike: 'every fifteenth reading or so is 8 to 30 K off',
  'fell-off': 'hangs in the air instead of touching the machine',
  drift: 'wanders off by 0.5 K an hour',
  'power-on': 'sends 85 °C, the value it starts up with',
} as const
export type FaultKind = keyof typeof faultKinds

const DRIFT = 0.5 / 3_600_000
const POWER_ON = 85

/**
 * One sensor: it follows what it touches with a lag, feels some of the air too, is off by its calibration and its
 * placement, adds noise, and reports in steps of its resolution.
 *
 * @param touches °C of what it should measure; for a state sensor 1 or 0
 * @param airAround °C of the air where it sits
 * @param stateWords words for 1 and 0 on the wire of a state sensor
 */
export const createSensor = (
  plant: SensorPlant,
  seed: number,
  touches: () => number,
  airAround: () => number,
  stateWords: readonly [string, string],
) => {
  const made = randomStream(seed, `sensor/${plant.id}`)
  const offset = plant.bias * made.bounded(2) + plant.placement * made.bounded(2)
  const phase = made.uniform()
  const noise = randomStream(seed, `noise/${plant.id}`)
  const spikes = randomStream(seed, `spikes/${plant.id}`)
  const ownState = randomStream(seed, `own state/${plant.id}`)
  const isState = plant.unit === 'state'
  let felt = Number.NaN
  let fault: FaultKind | null = null
  let faultSince = 0
  let last = ''

  const target = (): number => {
    if (fault === 'fell-off') return airAround()
    return plant.airShare > 0 ? touches() * (1 - plant.airShare) + airAround() * plant.airShare : touches()
  }

  const value = (time: number): string => {
    if (isState) return touches() > 0.5 ? `"${stateWords[0]}"` : `"${stateWords[1]}"`
    let celsius = felt + offset + plant.noise * noise.normal()
    if (fault === 'spike' && spikes.uniform() < 1 / 15)
      celsius += spikes.between(8, 30) * (spikes.uniform() < 0.5 ? -1 : 1)
    if (fault === 'drift') celsius += DRIFT * (time - faultSince)
    if (fault === 'power-on') celsius = POWER_ON
    const reported = Math.round(celsius / plant.resolution) * plant.resolution
    return String(Math.round((plant.unit === '°F' ? reported * 1.8 + 32 : reported) * 1e4) / 1e4)
  }

  const told = (): string =>
    (plant.tells ?? [])
      .map(
        ({ name, level, spread, decimals }) => `,"${name}":${(level + spread * ownState.bounded(2)).toFixed(decimals)}`,
      )
      .join('')

  return {
    plant,
    /** 0..1; when within its interval it reports */
    phase,
    isState,
    /** 1 or 0 for a state sensor */
    state: touches,
    /** lets it follow what it touches for `h` s */
    follow: (h: number): void => {
      if (isState) return
      felt = Number.isNaN(felt) ? target() : felt + (target() - felt) * (1 - Math.exp(-h / plant.lag))
    },
    /** the payload it sends at `time` (ms), or null when it sends nothing */
    payload: (time: number): string | null => {
      const fresh = value(time)
      if (fault === 'unplugged') return null
      if (fault !== 'frozen' || last === '') last = fresh
      if (plant.payload.kind === 'number') return last
      const stamp = plant.payload.time === 'iso' ? `"${new Date(time).toISOString()}"` : String(time)
      return `{"${plant.payload.value}":${last},"time":${stamp}${told()}}`
    },
    setFault: (kind: FaultKind | null, time: number): void => {
      fault = kind
      faultSince = time
    },
  }
}
export type SimulatedSensor = ReturnType<typeof createSensor>
