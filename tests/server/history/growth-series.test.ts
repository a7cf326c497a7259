import { describe, expect, it } from 'vitest'
import { growthSeries } from '../../../server/history/growth-series.js'
import type { GrowthOf } from '../../../server/http/parts.js'
import type { Series } from '../../../server/store/store.js'
import { everyMinute, mill, now, shop } from '../http/fakes.js'

/** tells the temperatures it was given, so that the test sees what would be computed with */
const told: GrowthOf = (_machine, t) => [
  {
    axis: 'X',
    atZero: t['x-screw'] ?? Number.NaN,
    atWork: t.column ?? Number.NaN,
    atTravel: Object.keys(t).length,
  },
]

const hour = 3_600_000
const from = now - hour
const storeOf = (kept: Record<string, Series>) => ({
  series: (id: string) => kept[id] ?? { level: 'reading' as const, points: [] },
})
const growth = (kept: Record<string, Series>, sensors = shop.sensors, points = 10) =>
  growthSeries(mill, sensors, storeOf(kept), told, { from, to: now }, points)[0]!.points

describe('growthSeries', () => {
  it('computes with the mean of each interval, offsets applied', () => {
    const points = growth({
      's-screw': everyMinute(from, now, at => (at - from) / hour),
      's-column': everyMinute(from, now, () => 20),
    })
    expect(points).toHaveLength(10)
    // the first six minutes read 0/60 … 5/60, their mean is 2.5/60, and this sensor's offset is 0.5 K
    expect(points[0]!.at).toBe(from)
    expect(points[0]!.atZero).toBeCloseTo(2.5 / 60 + 0.5, 9)
    expect(points[0]!.atWork).toBe(20)
    expect(points[0]!.atTravel).toBe(2)
  })

  it('leaves out intervals in which a node of the loop has no reading', () => {
    const column = everyMinute(from, now, () => 20)
    column.points = column.points.filter(p => p.at < from + 12 * 60_000 || p.at >= from + 30 * 60_000)
    const points = growth({ 's-screw': everyMinute(from, now, () => 21), 's-column': column })
    expect(points.map(p => (p.at - from) / 60_000)).toEqual([0, 6, 30, 36, 42, 48, 54])
  })

  it('gives nothing, but every axis, when a node has no sensor or no reading', () => {
    expect(growth({ 's-screw': everyMinute(from, now, () => 21) })).toEqual([])
    expect(
      growth(
        { 's-screw': everyMinute(from, now, () => 21) },
        shop.sensors.filter(s => s.id !== 's-column'),
      ),
    ).toEqual([])
  })

  it('takes intervals wide enough for the slowest sensor, however many points are asked for', () => {
    const kept = {
      's-screw': everyMinute(from, now, () => 21, 10_000),
      // reports each minute, at another second than the others
      's-column': everyMinute(from + 37_000, now, () => 20),
    }
    const points = growth(kept, shop.sensors, 5000)
    expect(points).toHaveLength(30)
    expect(points[1]!.at - points[0]!.at).toBe(120_000)
  })

  it('puts nodes whose series come from different levels on common intervals', () => {
    const quarters: Series = {
      level: 'quarter hour',
      points: [0, 1, 2, 3].map(i => ({ at: from + i * 900_000, count: 15, mean: 20 + i, min: 19, max: 25 })),
    }
    const points = growth({ 's-screw': everyMinute(from, now, () => 21), 's-column': quarters }, shop.sensors, 400)
    expect(points.map(p => [p.at, p.atWork])).toEqual([0, 1, 2, 3].map(i => [from + i * 900_000, 20 + i]))
  })

  it('takes the mean of several sensors at one node', () => {
    const second = { ...shop.sensors[2]!, id: 's-column-2', offset: 1 }
    const points = growth(
      {
        's-screw': everyMinute(from, now, () => 21),
        's-column': everyMinute(from, now, () => 20),
        's-column-2': everyMinute(from, now, () => 21),
      },
      [...shop.sensors, second],
    )
    expect(points[0]!.atWork).toBe(21)
  })

  it('predicts a body that no sensor is on from what it follows, run up on what came before', () => {
    const bed = { ...mill.nodes.find(n => n.kind === 'body')!, id: 'bed', timeConstant: 3600, required: false }
    const withBed = { ...mill, nodes: [...mill.nodes, { ...bed, follows: 'air', steadyExcess: 0 }] }
    const air = shop.sensors.filter(s => s.at.kind === 'node' && s.at.node === 'air').slice(0, 1)
    const seen: number[] = []
    const told: GrowthOf = (_machine, t) => {
      seen.push(t.bed ?? Number.NaN)
      return []
    }
    // the air stepped from 20 to 30 °C an hour before the span begins
    const series = everyMinute(now - 6 * hour, now, at => (at < from - hour ? 20 : 30) - air[0]!.offset)
    const store = {
      series: (id: string, begin: number, end: number): Series => ({
        ...series,
        points: id === air[0]!.id ? series.points.filter(p => p.at >= begin && p.at < end) : [],
      }),
    }
    growthSeries(withBed, air, store, told, { from, to: now }, 10)
    expect(seen).toHaveLength(10)
    expect(seen[0]!).toBeCloseTo(20 + 10 * 0.632, 0)
    expect(seen.at(-1)!).toBeCloseTo(20 + 10 * (1 - Math.exp(-1.9)), 0)
  })
})
