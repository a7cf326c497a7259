import type { Shop } from '../core/shop.js'
import { createMonitor } from '../server/monitor/index.js'
import { createSimulatedShop, demoPlant } from '../simulators/index.js'
import { toldBy } from './told.js'

/**
 * The demo's plant lives from a moment on, and a monitor follows what the sensors of a shop tell of it.
 *
 * @param shop  the demo shop, or a part of it
 * @param lives from when on, by which scenario and seed
 * @param every s; between two readings of a sensor
 * @param step  ms; the monitor is brought forward so far at once: as often as is looked, for what it says then is computed then
 */
export const followed = (shop: Shop, lives: Parameters<typeof createSimulatedShop>[1], every: number, step: number) => {
  const simulated = createSimulatedShop(demoPlant, lives)
  const monitor = createMonitor({ shop })
  monitor.setFilling(0, every)
  const told = toldBy(simulated, shop)
  return {
    simulated,
    monitor,
    /** @param end ms */
    until: (end: number): void => {
      while (simulated.time() < end) {
        const readings = told(Math.min(simulated.time() + step, end), every)
        monitor.take(readings)
        monitor.advance(simulated.time())
      }
    },
  }
}
