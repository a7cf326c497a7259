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
const lasts: Partial<Record<FaultKind, [number, number]>> = {
  unplugged: [1, 14],
  frozen: [2, 12],
  spike: [6, 48],
}

/** A third of the shops have one to three faults of sensors on machines, anywhere in the first week. */
export const randomFaults = (random: Random, sensors: readonly SensorPlant[]): PlannedFault[] => {
  if (!chance(random, 1 / 3)) return []
  const onMachines = sensors.filter(({ measures }) => 'machine' in measures)
  return Array.from({ length: oneOf(random, [1, 1, 2, 3]) }, () => {
    const kind = oneOf(random, ['unplugged', 'frozen', 'spike'] as const)
    const from = random.between(10, 140) * HOUR
    const [least, most] = lasts[kind]!
    return { sensor: oneOf(random, onMachines).id, kind, from, to: from + random.between(least, most) * HOUR }
  })
}
