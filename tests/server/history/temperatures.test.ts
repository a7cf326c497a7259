import { describe, expect, it } from 'vitest'
import type { Machine, Sensor } from '../../../core/shop.js'
import { growthOver, temperaturesOver } from '../../../server/history/index.js'
import type { Series } from '../../../server/store/store.js'
import { everyMinute, FakeStore, mill, now, shop } from '../http/fakes.js'

const hour = 3_600_000
const from = now - hour
const span = { from, to: now }

const pastOf = (kept: Record<string, Series>, sensors: Sensor[] = shop.sensors, machine: Machine = mill) => {
  const store = new FakeStore()
  for (const [id, series] of Object.entries(kept)) store.kept.set(id, series)
  return { shop: { ...shop, machines: [machine], sensors }, store }
}
/** by node id, °C; undefined where nothing is known */
const temperatures = async (past: ReturnType<typeof pastOf>, points = 10) => {
  const [machine] = past.shop.machines
  const { rows } = await temperaturesOver(past, machine!, span, points)
  return rows.map(({ at, nodes }) => ({
    at,
    ...Object.fromEntries(machine!.nodes.map(({ id }, i) => [id, nodes[i]?.temperature])),
  })) as ({ at: number } & Record<string, number | undefined>)[]
}
const growth = async (past: ReturnType<typeof pastOf>) =>
  (await growthOver(past, mill, span, 10)).rows.filter(({ axes }) => Number.isFinite(axes[0]!.atWork))

describe('temperatures over a span', () => {
  it('are the means of each interval, offsets applied', async () => {
    const rows = await temperatures(
      pastOf({
        's-screw': everyMinute(from, now, at => (at - from) / hour),
        's-column': everyMinute(from, now, () => 20),
      }),
    )
    expect(rows).toHaveLength(10)
    // the first six minutes read 0/60 … 5/60, their mean is 2.5/60, and this sensor's offset is 0.5 K
    expect(rows[0]!.at).toBe(from)
    expect(rows[0]!['x-screw']).toBeCloseTo(2.5 / 60 + 0.5, 9)
    expect(rows[0]).toMatchObject({ column: 20, air: undefined })
  })

  it('give no growth for intervals in which a node of the loop has no reading', async () => {
    const column = everyMinute(from, now, () => 20)
    column.points = column.points.filter(p => p.at < from + 12 * 60_000 || p.at >= from + 30 * 60_000)
    const rows = await growth(pastOf({ 's-screw': everyMinute(from, now, () => 21), 's-column': column }))
    expect(rows.map(p => (p.at - from) / 60_000)).toEqual([0, 6, 30, 36, 42, 48, 54])
  })

  it('give no growth when a node has no sensor or no reading', async () => {
    const screw = { 's-screw': everyMinute(from, now, () => 21) }
    expect(await growth(pastOf(screw))).toEqual([])
    expect(
      await growth(
        pastOf(
          screw,
          shop.sensors.filter(s => s.id !== 's-column'),
        ),
      ),
    ).toEqual([])
  })

  it('are over intervals wide enough for the slowest sensor, however many points are asked for', async () => {
    const kept = {
      's-screw': everyMinute(from, now, () => 21, 10_000),
      // reports each minute, at another second than the others
      's-column': everyMinute(from + 37_000, now, () => 20),
    }
    const rows = await temperatures(pastOf(kept), 5000)
    expect(rows).toHaveLength(30)
    expect(rows[1]!.at - rows[0]!.at).toBe(120_000)
  })

  it('are on common intervals where nodes’ series come from different levels', async () => {
    const quarters: Series = {
      level: 'quarter hour',
      points: [0, 1, 2, 3].map(i => ({ at: from + i * 900_000, count: 15, mean: 20 + i, min: 19, max: 25 })),
    }
    const rows = await temperatures(pastOf({ 's-screw': everyMinute(from, now, () => 21), 's-column': quarters }), 400)
    expect(rows.map(p => [p.at, p.column])).toEqual([0, 1, 2, 3].map(i => [from + i * 900_000, 20 + i]))
  })

  it('are the mean of several sensors at one node', async () => {
    const second = { ...shop.sensors[2]!, id: 's-column-2', offset: 1 }
    const rows = await temperatures(
      pastOf({ 's-column': everyMinute(from, now, () => 20), 's-column-2': everyMinute(from, now, () => 21) }, [
        ...shop.sensors,
        second,
      ]),
    )
    expect(rows[0]!.column).toBe(21)
  })

  it('leave out readings that were refused one by one', async () => {
    const spiky = everyMinute(from, now, at => (at === from + 9 * 60_000 ? 30 : at === from + 14 * 60_000 ? 85 : 20))
    const rows = await temperatures(pastOf({ 's-column': spiky }))
    expect(rows.map(({ column }) => column)).toEqual(Array(10).fill(20))
    // a mean that holds a fault code tells so by its highest
    const quarters: Series = {
      level: 'quarter hour',
      points: [0, 1, 2, 3].map(i => ({
        at: from + i * 900_000,
        count: 15,
        mean: (14 * 20 + 85) / 15,
        min: 19.9,
        max: 85,
      })),
    }
    const coarse = await temperatures(pastOf({ 's-column': quarters }), 4)
    for (const { column } of coarse) expect(column).toBeCloseTo(20, 9)
  })

  it('predict a body that no sensor is on from what it follows, run up on what came before', async () => {
    const bed = { ...mill.nodes[1]!, id: 'bed', timeConstant: 3600, required: false, follows: 'air', steadyExcess: 0 }
    const withBed = { ...mill, nodes: [...mill.nodes, bed] }
    // the air stepped from 20 to 30 °C an hour before the span begins
    const air = everyMinute(now - 6 * hour, now, at => (at < from - hour ? 20 : 30))
    const past = pastOf({ 's-air': air }, shop.sensors, withBed)
    const { rows } = await temperaturesOver(past, withBed, span, 10)
    const seen = rows.map(({ nodes }) => nodes[3]!)
    expect(seen).toHaveLength(10)
    // in the middle of six minutes
    seen.forEach(({ temperature, from: source }, i) => {
      expect(temperature).toBeCloseTo(30 - 10 * Math.exp(-(63 + 6 * i) / 60), 1)
      expect(source).toBe('prediction')
    })
  })
})
