import type { SensorPlant } from '../plant.js'
import type { Random } from '../random.js'
import type { FaultKind } from '../sensor.js'
import { chance, oneOf } from './draws.js'

/** A sensor that goes wrong and is mended; s after the shop's start. */
export interface PlannedFault {
  sensor: string
  kind: FaultKind
  from: number
  to: number
}

const HOUR = 3600

/** hours that a fault of each kind stays unnoticed by the shop's people */
const lasts: Record<FaultKind, [number, number]> = {
  unplugged: [1, 14],
  frozen: [2, 12],
  spike: [6, 48],
  'fell-off': [2, 24],
  drift: [2, 16],
  'power-on': [0.1, 6],
}
const kinds = Object.keys(lasts) as FaultKind[]

/** A third of the shops have one to three faults of sensors on machines, anywhere in the first week. */
export const randomFaults = (random: Random, sensors: readonly SensorPlant[]): PlannedFault[] => {
  if (!chance(random, 1 / 3)) return []
  const onMachines = sensors.filter(({ measures }) => 'machine' in measures)
  const touching = onMachines.filter(({ measures: { kind } }) => kind === 'body' || kind === 'measuring part')
  return Array.from({ length: oneOf(random, [1, 1, 2, 3]) }, () => {
    const kind = oneOf(random, kinds)
    const from = random.between(10, 140) * HOUR
    const [least, most] = lasts[kind]
    // only what touches a machine can fall off it
    const among = kind === 'fell-off' ? touching : onMachines
    return { sensor: oneOf(random, among).id, kind, from, to: from + random.between(least, most) * HOUR }
  })
}
