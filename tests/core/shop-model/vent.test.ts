import { expect, it } from 'vitest'
import { type Courses, learning } from '../../../core/shop-model/index.js'
import type { HallModel } from '../../../core/shop-model/model.js'
import { drawing } from '../../../core/statistics/drawing.js'
import { normalQuantile } from '../../../core/statistics/normal.js'
import { quantile } from '../../../core/statistics/quantile.js'
import { whole } from '../../whole.js'

const spacing = 300
const length = 12 * 288
const h = 30
/** J/K of the air, W/K to a floor of its own, J/K of that, W/K through the walls and of the vent, W of what is always there */
const hall = { air: 8e6, link: 3000, floor: 60e6, walls: 500, vent: 1000, base: 5000 }

/**
 * A hall without a thermostat, integrated every half minute: heat that wanders as clouds make it and no sensor tells, and a vent that
 * blows 15 °C for two to six hours at odd times.
 */
const ventedHall = (seed: number): Courses => {
  const draw = drawing(seed)
  const uniform = () => (draw(10_000) + 0.5) / 10_000
  const normal = () => normalQuantile(uniform())
  const [temperature, outdoors, beside] = [0, 1, 2].map(() => new Float64Array(length)) as [
    Float64Array,
    Float64Array,
    Float64Array,
  ]
  let [air, floor, cloud, left] = [21, 21, 0, 0]
  for (let i = 0; i < length; i++)
    for (let j = 0; j < spacing / h; j++) {
      const hour = ((i * spacing + j * h) / 3600) % 24
      cloud += (-cloud * h) / 18_000 + Math.sqrt((2 * h) / 18_000) * normal()
      const out = 14 + 4 * Math.cos((2 * Math.PI * (hour - 15)) / 24)
      left -= h
      if (uniform() < (3 * h) / 86_400) left = 7200 + 14_400 * uniform()
      const blows = left > 0
      const heat =
        hall.walls * (out - air) +
        (blows ? hall.vent * (15 - air) : 0) +
        hall.link * (floor - air) +
        hall.base +
        1500 * cloud
      floor += (h * hall.link * (air - floor)) / hall.floor
      air += (h * heat) / hall.air
      const part = h / spacing
      temperature[i]! += part * air
      outdoors[i]! += part * out
      beside[i]! += part * (blows ? 15 : air)
    }
  const noisy = (values: Float64Array) => values.map(value => value + 0.02 * normal())
  return {
    ...{ from: Date.UTC(2026, 4, 4), spacing, length, outdoors: noisy(outdoors) },
    places: [{ id: 'hall', kind: 'shop air', machine: null, temperature: noisy(temperature) }],
    sources: [{ id: 'vent', name: 'Vent', kind: 'vent', state: null, beside: noisy(beside) }],
    hour: Float64Array.from({ length }, (_, i) => (((i + 0.5) * spacing) / 3600) % 24),
    weekday: Uint8Array.from({ length }, (_, i) => Math.floor(i / 288) % 7),
    works: Uint8Array.from({ length }, (_, i) => Number(Math.floor(i / 288) % 7 < 5)),
  }
}

it.each([1, 2, 3])(
  'what a vent exchanges is found, though clouds warm the hall, and drawings hold it (hall %i)',
  seed => {
    const courses = ventedHall(seed)
    const [{ sources, values, drawn }] = whole(learning(courses, 'invented', courses.from, 'all')).halls as [HallModel]
    expect(sources).toEqual(['vent'])
    const truth = (3600 * hall.vent) / hall.air
    expect(Math.abs(values.at(-1)! - truth)).toBeLessThan(0.1 * truth)
    const all = drawn.map(each => each.at(-1)!)
    expect(quantile(all, 0.05)).toBeLessThan(truth)
    expect(quantile(all, 0.95)).toBeGreaterThan(truth)
  },
)
