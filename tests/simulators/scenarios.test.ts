import { describe, expect, it } from 'vitest'
import { createSimulatedShop, demoPlant, type ScenarioName, type SimulatedShop } from '../../simulators/index.js'

const minute = 60_000
const anchor = Date.UTC(2025, 8, 17, 20, 12)
const begin = (scenario: ScenarioName, before = 0): SimulatedShop =>
  createSimulatedShop(demoPlant, { seed: 3, start: anchor - before * minute, scenario, anchor })

/** what `look` sees every minute between two moments, counted in minutes from the anchor */
const watch = <Seen>(shop: SimulatedShop, to: number, look: () => Seen): Seen[] => {
  const seen: Seen[] = []
  while (shop.time() < anchor + to * minute) {
    shop.advance(shop.time() + minute, () => {}, 60)
    seen.push(look())
  }
  return seen
}
const swing = (values: number[]): number => Math.max(...values) - Math.min(...values)
const airAt = (shop: SimulatedShop, machine: string) => () => shop.truth().machines[machine]!.air

it('monday-after-setback: cold at the anchor, warm by noon, and growth to show for it', () => {
  const shop = begin('monday-after-setback')
  const hall = () => shop.climate().zones.middle!
  expect(hall()).toBeLessThan(16)
  const early = shop.truth().machines['mill-1']!.axes.X!.atWork
  const noon = watch(shop, 8 * 60, hall)
  expect(noon.at(-1)).toBeGreaterThan(19.7)
  expect(shop.truth().machines['mill-1']!.axes.X!.atWork - early).toBeGreaterThan(10e-6)
  expect(shop.climate().zones['fine-room']!).toBeCloseTo(20, 0)
})

it('dock-door-in-winter: the door opens on time, and mill 2 feels it at once', () => {
  const shop = begin('dock-door-in-winter', 30)
  const states: string[] = []
  const air = airAt(shop, 'mill-2')
  watch(shop, 9, air)
  const before = air()
  shop.advance(
    anchor + 25 * minute,
    ({ topic, payload, time }) => {
      if (topic === 'shop/dock-door/contact')
        states.push(`${JSON.parse(payload).state} ${Math.floor((time - anchor) / minute)}`)
    },
    60,
  )
  expect(shop.climate().outdoors).toBeLessThan(0)
  expect(states.find(state => state.startsWith('open'))).toBe('open 10')
  expect(before - air()).toBeGreaterThan(4)
  expect(Math.abs(airAt(shop, 'mill-3')() - 20)).toBeLessThan(0.6)
  watch(shop, 50, air)
  expect(before - air()).toBeLessThan(1.5)
})

it('compressor-cycling: on for 8 minutes, off for 10; mill 4 beside it swings with it', () => {
  const shop = begin('compressor-cycling')
  const seen = watch(shop, 180, () => ({
    on: shop.climate().active.compressor!,
    near: airAt(shop, 'mill-4')() - shop.climate().zones.middle!,
  }))
  const starts = seen.filter(({ on }, i) => i > 0 && on && !seen[i - 1]!.on)
  expect(starts.length).toBeGreaterThanOrEqual(9)
  expect(starts.length).toBeLessThanOrEqual(10)
  const mean = (on: boolean) => {
    // the last two minutes of each spell, when the air beside the machine has mixed
    const near = seen.filter((_, i) => i > 2 && [0, 1, 2].every(k => seen[i - k]!.on === on) && seen[i + 2]?.on !== on)
    return near.reduce((sum, { near: k }) => sum + k, 0) / near.length
  }
  expect(mean(true) - mean(false)).toBeGreaterThan(0.3)
})

it('heatwave: above 30 °C outdoors, and the hall leaves its set value', () => {
  const shop = begin('heatwave')
  expect(shop.climate().outdoors).toBeGreaterThan(30)
  const hall = watch(shop, 5 * 60, () => shop.climate().zones.south!)
  expect(Math.max(...hall)).toBeGreaterThan(23)
  expect(shop.truth().machines['mill-2']!.axes.X!.atWork).toBeGreaterThan(8e-6)
})

it('quiet-night: no door opens, no machine works, little grows', () => {
  const shop = begin('quiet-night')
  const seen = watch(shop, 4 * 60, () => ({
    open:
      shop.climate().active['dock-door']! || shop.climate().active['yard-door']! || shop.climate().active.compressor!,
    growth: demoPlant.machines.map(({ id, axes }) =>
      axes.map(axis => shop.truth().machines[id]!.axes[axis.id]!.atWork),
    ),
  }))
  expect(seen.filter(({ open }) => open)).toHaveLength(0)
  demoPlant.machines.forEach((machine, m) => {
    machine.axes.forEach((_, a) => {
      expect(swing(seen.map(({ growth }) => growth[m]![a]!))).toBeLessThan(3e-6)
    })
  })
})

describe('ordinary', () => {
  const shop = createSimulatedShop(demoPlant, { seed: 4, start: Date.UTC(2025, 1, 2, 23) })
  const week: { weekday: number; hour: number; hall: number; excess: number; door: boolean }[] = []
  let head = Number.NaN
  let air = Number.NaN
  for (let n = 0; n < 7 * 24 * 6; n++) {
    shop.advance(
      shop.time() + 10 * minute,
      ({ topic, payload }) => {
        if (topic === 'shop/mill-1/head') head = (JSON.parse(payload).value - 32) / 1.8
        if (topic === 'shop/mill-1/air') air = JSON.parse(payload).value
      },
      60,
    )
    const at = new Date(shop.time() + 3_600_000)
    week.push({
      weekday: at.getUTCDay(),
      hour: at.getUTCHours(),
      hall: shop.climate().zones.middle!,
      excess: head - air,
      door: shop.climate().active['dock-door']!,
    })
  }
  const mean = (values: number[]): number => values.reduce((a, b) => a + b, 0) / values.length
  const weekdays = week.filter(({ weekday }) => weekday >= 1 && weekday <= 5)

  it('the hall is about 20.3 °C by day and 17.5 °C at night and on Sunday', () => {
    expect(mean(weekdays.filter(({ hour }) => hour >= 9 && hour < 17).map(({ hall }) => hall))).toBeCloseTo(20.4, 0)
    expect(mean(weekdays.filter(({ hour }) => hour < 4).map(({ hall }) => hall))).toBeCloseTo(17.6, 0)
    expect(mean(week.filter(({ weekday }) => weekday === 0).map(({ hall }) => hall))).toBeLessThan(18)
  })
  it('the door opens on working days only', () => {
    expect(weekdays.some(({ door }) => door)).toBe(true)
    expect(week.filter(({ weekday }) => weekday === 0 || weekday === 6).some(({ door }) => door)).toBe(false)
  })
  it('the spindle head is warmer than the air by kelvins while it works, and not at night', () => {
    const excess = (from: number, to: number): number =>
      mean(weekdays.filter(({ hour }) => hour >= from && hour < to).map(({ excess }) => excess))
    expect(excess(10, 14)).toBeGreaterThan(0.8)
    expect(Math.abs(excess(2, 5))).toBeLessThan(0.4)
  })
})
