import { isThermometer, type Sensor, type Shop } from '../../../core/shop.js'
import type { RunEvent, SpindleRun } from '../../../core/spindle/index.js'
import { grouped } from '../../grouped.js'
import type { Store } from '../../store/store.js'

/** ms; a probe that reads every second is taken as means of so long */
const together = 30_000

/** The sensor that reads a spindle's growth by itself during a guided test: a probe, or the control; null where none does. */
export const probeOf = ({ sensors }: Pick<Shop, 'sensors'>, { machine, plan }: SpindleRun): Sensor | null =>
  plan.readWith === 'dial indicator'
    ? null
    : (sensors.find(
        sensor =>
          sensor.at.kind === 'spindle' &&
          sensor.at.machine === machine &&
          sensor.unit !== '1/min' &&
          !isThermometer(sensor),
      ) ?? null)

/** What that sensor has sent since the test began, as readings of the test. @param now ms */
export const probeReadings = async (
  store: Pick<Store, 'series'>,
  probe: Sensor,
  { at: begun }: SpindleRun,
  now: number,
): Promise<RunEvent[]> => {
  const { points } = await store.series(probe.id, begun, now + 1, Math.max(10, Math.ceil((now - begun) / together)))
  const groups = grouped(points, ({ at }) => `${Math.floor((at - begun) / together)}`)
  return [...groups].map(([group, all]) => ({
    kind: 'reading',
    key: `probe ${group}`,
    at: Math.round(all.reduce((sum, { at }) => sum + at, 0) / all.length),
    value: all.reduce((sum, { mean }) => sum + mean, 0) / all.length,
  }))
}
