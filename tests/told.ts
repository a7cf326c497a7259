import type { Shop } from '../core/shop.js'
import { createDecoder } from '../server/ingest/decoder.js'
import type { Reading } from '../server/ingest/reading.js'
import type { SimulatedShop } from '../simulators/index.js'

/** Lets a simulated shop live, and gives what its sensors tell until a moment (ms) as the service decodes it. */
export const toldBy = (
  simulated: Pick<SimulatedShop, 'advance'>,
  { sensors }: Pick<Shop, 'sensors'>,
): ((until: number, interval?: number) => Reading[]) => {
  const decode = createDecoder(sensors)
  const encoder = new TextEncoder()
  return (until, interval) => {
    const readings: Reading[] = []
    simulated.advance(
      until,
      ({ topic, payload, time }) => {
        readings.push(...decode(topic, encoder.encode(payload), { retained: false, receivedAt: time }).readings)
      },
      interval,
    )
    return readings
  }
}
