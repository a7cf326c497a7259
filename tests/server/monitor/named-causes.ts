import type { Reason } from '../../../core/state.js'
import { createSimulatedShop, demoPlant, type SimulatedShop } from '../../../simulators/index.js'
import { demoShop } from '../../demo-shop.js'
import { followed } from '../../followed.js'

const minute = 60_000

interface NamedCause {
  reason: Reason
  /** K; how much colder air and part of the machine are than in the same shop whose doors were never opened */
  air: number
  part: number
}

/** Doors named as causes in the demo shop, every six minutes, beside the same shop with its doors shut all along. */
export const namedCauses = (from: number, days: number, seed: number): NamedCause[] => {
  const demo = demoShop()
  // work that counts from a datum is unknown where none is recorded, and then names no door
  const shop = { ...demo, workClasses: demo.workClasses.filter(({ zeroedAt }) => zeroedAt !== 'datum') }
  const doors = shop.sources.filter(({ kind }) => kind === 'door').map(({ id }) => id)
  const lives = { seed, start: from }
  const { simulated, monitor, until } = followed(shop, lives, 120, 6 * minute)
  const shut = createSimulatedShop(demoPlant, lives)
  for (const door of doors) shut.setDoor(door, false)
  const truthOf = (of: SimulatedShop, machine: string) => of.truth().machines[machine]!
  const found: NamedCause[] = []
  for (let now = from + 6 * minute; now <= from + days * 1440 * minute; now += 6 * minute) {
    until(now)
    shut.advance(now, () => {}, 3600)
    for (const { machine, classes } of monitor.machines())
      for (const { reasons } of classes)
        for (const reason of reasons) {
          if (!('disturbance' in reason) || !reason.disturbance) continue
          const [is, would] = [truthOf(simulated, machine), truthOf(shut, machine)]
          found.push({ reason, air: would.air - is.air, part: would.partTemperature - is.partTemperature })
        }
  }
  return found
}

/**
 * Whether the door acts: on the part if the reason is that the part is off, by a quarter of what it is off; otherwise on
 * the air by 0.3 K, or on the part, which is slower.
 */
export const acts = ({ reason, air, part }: NamedCause): boolean =>
  reason.kind === 'workpiece'
    ? Math.abs(part) >= 0.25 * Math.abs(reason.rise)
    : Math.abs(air) >= 0.3 || Math.abs(part) >= 0.3
