import { expect, it } from 'vitest'
import type { Sensor } from '../../../../core/shop.js'
import { createDecoder } from '../../../../server/ingest/decoder.js'
import type { SeriesPoint } from '../../../../server/store/store.js'
import { checkTogether } from '../../../../server/studies/calibration/common-temperature.js'
import { createSimulatedShop, demoPlant } from '../../../../simulators/index.js'
import { randomStream } from '../../../../simulators/random.js'
import { demoShop } from '../../../demo-shop.js'

const from = Date.UTC(2026, 0, 12, 0)
const minute = 60_000
const hour = 60 * minute
const days = 3
const shop = demoShop()
const onMachine = (machine: string): Sensor[] =>
  shop.sensors.filter(({ at }) => at.kind === 'node' && at.machine === machine)
const machines = shop.machines.map(({ id }) => id).filter(id => onMachine(id).length > 3)

/** three days of the demo shop, minute by minute, as a store holds them */
const lived = (): Map<string, SeriesPoint[]> => {
  const simulated = createSimulatedShop(demoPlant, { seed: 8, start: from, scenario: 'ordinary' })
  const decode = createDecoder(shop.sensors)
  const encoder = new TextEncoder()
  const stored = new Map<string, SeriesPoint[]>(shop.sensors.map(({ id }) => [id, []]))
  simulated.advance(
    from + days * 24 * hour,
    ({ topic, payload, time }) => {
      for (const { sensor, at, value } of decode(topic, encoder.encode(payload), { retained: false, receivedAt: time })
        .readings) {
        const points = stored.get(sensor)!
        const begins = at - (at % minute)
        const last = points.at(-1)
        if (last?.at !== begins) points.push({ at: begins, count: 1, mean: value, min: value, max: value })
        else {
          last.mean = (last.mean * last.count + value) / ++last.count
          last.min = Math.min(last.min, value)
          last.max = Math.max(last.max, value)
        }
      }
    },
    20,
  )
  return stored
}

/** What a sensor sends out of a box that stands in the hall and follows its air with an hour's delay, or out of a bath. */
const together = (
  stored: ReadonlyMap<string, SeriesPoint[]>,
  sensors: readonly Sensor[],
  where: 'box' | 'bath',
  draws: ReturnType<typeof randomStream>,
): Map<string, SeriesPoint[]> => {
  const hall = stored.get('hall-middle')!
  let inside = hall[0]!.mean
  const box = hall.map(({ at, mean }) => {
    inside += (mean - inside) / 60
    return where === 'box' ? inside : 20.4 + 0.02 * Math.sin(at / hour)
  })
  const off = new Map(sensors.map(({ id }) => [id, 0.08 * draws.normal()]))
  return new Map(
    sensors.map(({ id }) => [
      id,
      hall.map(({ at }, i) => {
        const told = [1, 2, 3].map(() => Math.round((box[i]! + off.get(id)! + 0.02 * draws.normal()) * 16) / 16)
        return {
          at,
          count: 3,
          mean: told.reduce((sum, each) => sum + each) / 3,
          min: Math.min(...told),
          max: Math.max(...told),
        }
      }),
    ]),
  )
}

it('finds sensors of two machines that agree by chance to be mounted still, and none in a box or bath', async () => {
  const stored = lived()
  const draws = randomStream(8, 'sets')
  const pick = <T>(from: readonly T[]): T => from[Math.floor(draws.uniform() * from.length)]!
  const counts = { mounted: { sets: 0, found: 0 }, box: { sets: 0, found: 0 }, bath: { sets: 0, found: 0 } }
  for (let n = 0; n < 700; n++) {
    const [one, other] = [pick(machines), pick(machines)]
    const length = pick([2, 8]) * hour
    const start = from + 6 * hour + Math.floor(draws.uniform() * ((days * 24 - 14) * 60)) * minute
    if (one === other) continue
    const [a, b, c, d] = [pick(onMachine(one)), pick(onMachine(one)), pick(onMachine(other)), pick(onMachine(other))]
    const sensors = [...new Set([a, b, c, d])]
    const where = pick(['mounted', 'box', 'bath'] as const)
    const moved = where === 'mounted' ? null : together(stored, sensors, where, draws)
    const store = {
      series: async (id: string, begin: number, end: number) => ({
        level: 'minute' as const,
        points: (moved?.get(id) ?? stored.get(id)!).filter(({ at }) => begin <= at && at < end),
      }),
    }
    if (sensors.length < 3) continue
    const check = await checkTogether(store, shop, sensors, { from: start, to: start + length })
    // what is not still, or far apart, is not accepted or asked about anyway
    if (!check.still || check.sensors.some(({ offset }) => Math.abs(offset) > 1)) continue
    counts[where].sets++
    if (check.stillMounted.length > 0) counts[where].found++
  }
  for (const [where, { sets, found }] of Object.entries(counts))
    console.log(`${where}: ${sets} still sets of sensors that agree within 1 K, ${found} found to be mounted`)
  expect(Math.min(counts.mounted.sets, counts.box.sets, counts.bath.sets)).toBeGreaterThan(30)
  expect(counts.box.found + counts.bath.found).toBe(0)
  expect(counts.mounted.found / counts.mounted.sets).toBeGreaterThan(0.5)
})
