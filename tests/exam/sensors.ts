import type { Shop } from '../../core/shop.js'
import { SensorBoard } from '../../server/monitor/sensor-board.js'
import { type FaultKind, faultKinds, type PlannedFault, type SimulatedShop } from '../../simulators/index.js'
import { toldBy } from '../told.js'
import { Suspects, type SuspectsRecord } from './suspects.js'

/** s; how often the board is brought forward */
const step = 60
/** s; days at the end on which sensors are broken, one after the other, each for so long */
const breaking = 4 * 86_400
const brokenFor = 12 * 3600
const every = 2 * 3600

/** Every kind of fault on one sensor that touches a machine after the other, at all hours of the last days. */
const faultsOf = ({ plant }: SimulatedShop, days: number): PlannedFault[] => {
  const touching = plant.sensors.filter(({ measures: { kind } }) => kind === 'body' || kind === 'measuring part')
  const kinds = Object.keys(faultKinds) as FaultKind[]
  return touching.slice(0, Math.floor((breaking - brokenFor) / every)).map(({ id }, i) => {
    const from = days * 86_400 - breaking + i * every
    return { sensor: id, kind: kinds[i % kinds.length]!, from, to: from + brokenFor }
  })
}

/** Lets a shop live with healthy sensors, then with broken ones, and notes which of them the service does not believe. */
export const examineSensors = async (
  shop: Shop,
  simulated: SimulatedShop,
  { from, days, onProgress }: { from: number; days: number; onProgress?: (part: number) => void },
): Promise<SuspectsRecord> => {
  const told = toldBy(simulated, shop)
  const board = new SensorBoard(shop)
  const faults = faultsOf(simulated, days)
  const suspects = new Suspects(from, faults)
  const steps = Math.round((days * 86_400) / step)
  for (let n = 1; n <= steps; n++) {
    const now = from + n * step * 1000
    for (const fault of faults) {
      if (n * step === fault.from) simulated.fault(fault.sensor, fault.kind)
      if (n * step === fault.to) simulated.fault(fault.sensor, null)
    }
    const readings = told(now)
    for (const reading of readings) board.take(reading)
    board.advance(now)
    suspects.take(board.takeFound())
    onProgress?.(n / steps)
  }
  return suspects.record(shop.sensors.length, days)
}
