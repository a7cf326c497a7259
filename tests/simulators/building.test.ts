import { describe, expect, it } from 'vitest'
import { type Building, type BuildingChanges, createBuilding } from '../../simulators/building.js'
import { createCalendar } from '../../simulators/calendar.js'
import { demoPlant, type Plant } from '../../simulators/index.js'

const calendar = createCalendar('UTC')
const unchanged: BuildingChanges = {
  ...{ active: () => null, nightSet: null, coolingPart: 1, heated: () => null },
  people: working => Number(working),
}
/** a Monday */
const monday = Date.UTC(2025, 1, 3)

const live = (
  building: Building,
  from: number,
  hours: number,
  outdoors: number,
  waste: Float64Array,
  each?: (time: number) => void,
): void => {
  for (let n = 1; n <= hours * 120; n++) {
    const time = from + n * 30_000
    building.step(time, calendar(time), 30, { outdoors, sun: 0 }, waste)
    each?.(time)
  }
}

/** The demo's building without outdoors, heating or anything that blows. */
const sealed: Plant = {
  ...demoPlant,
  zones: demoPlant.zones.map(zone => ({
    ...zone,
    toOutdoors: 0,
    people: 0,
    climate: { kind: 'thermostat', day: 20, night: 20, band: 0.5, heater: 0, cooler: 0, nightCooling: 25, lag: 60 },
  })),
  sources: demoPlant.sources.map(source =>
    source.kind === 'door'
      ? { ...source, open: 0, shut: 0 }
      : source.kind === 'vent'
        ? { ...source, flow: 0 }
        : { ...source, power: 0 },
  ),
}

it('a sealed building keeps the heat that is put into it', () => {
  const building = createBuilding(sealed, 1, unchanged, 20)
  const waste = new Float64Array([3000, 0, 500, 1200])
  live(building, monday, 24, -10, waste)
  const held = sealed.zones.reduce(
    (sum, zone, i) => sum + zone.airCapacity * (building.air[i]! - 20) + zone.massCapacity * (building.mass[i]! - 20),
    0,
  )
  expect(held / (4700 * 86_400)).toBeCloseTo(1, 9)
})

describe('the hall', () => {
  const waste = new Float64Array(4)

  it('swings about its set value by day, is let down at night, and is warm again in the morning', () => {
    const building = createBuilding(demoPlant, 1, unchanged, 19)
    live(building, monday, 34, 2, waste)
    const byHour: number[][] = Array.from({ length: 24 }, () => [])
    live(building, monday + 34 * 3_600_000, 24, 2, waste, time =>
      byHour[new Date(time).getUTCHours()]!.push(building.air[1]!),
    )
    const mean = (hours: number[]): number => {
      const all = hours.flatMap(hour => byHour[hour]!)
      return all.reduce((a, b) => a + b, 0) / all.length
    }
    expect(mean([12, 13, 14, 15])).toBeCloseTo(20.3, 0)
    expect(mean([1, 2, 3])).toBeCloseTo(17.5, 0)
    expect(mean([8])).toBeGreaterThan(19.8)
    const afternoon = byHour[14]!
    expect(Math.max(...afternoon) - Math.min(...afternoon)).toBeGreaterThan(0.5)
    expect(Math.max(...afternoon) - Math.min(...afternoon)).toBeLessThan(2)
  })

  it('is warmed from the moment on at which its heating is said to work, and not before', () => {
    const from = monday + 2 * 3_600_000
    const run = (on: number) => {
      const building = createBuilding(demoPlant, 1, { ...unchanged, heated: time => time >= on }, 15)
      const hours: number[] = []
      live(building, monday, 8, 0, waste, time => {
        if (time % 3_600_000 === 0) hours.push(building.air[1]!)
      })
      return hours
    }
    const [early, late] = [run(from), run(monday + 6 * 3_600_000)]
    expect(early.slice(0, 2)).toEqual(late.slice(0, 2))
    expect(early[3]!).toBeGreaterThan(late[3]! + 1.5)
    expect(late[7]!).toBeGreaterThan(late[5]! + 1.5)
  })

  it('stays low on Sunday', () => {
    const building = createBuilding(demoPlant, 1, unchanged, 19)
    live(building, monday + 4 * 86_400_000, 60, 0, waste)
    expect(building.air[0]).toBeLessThan(18.2)
  })

  it('loses warmth through an open door, most in its own zone, and the air beside the door feels the outdoors', () => {
    const run = (open: boolean) => {
      const building = createBuilding(demoPlant, 1, unchanged, 20)
      building.setByHand('dock-door', false)
      live(building, monday, 12, -5, waste)
      building.setByHand('dock-door', open)
      live(building, monday + 12 * 3_600_000, 0.25, -5, waste)
      return building
    }
    const [open, shut] = [run(true), run(false)]
    const loss = [0, 1, 2, 3].map(zone => shut.air[zone]! - open.air[zone]!)
    expect(loss[0]).toBeGreaterThan(1)
    expect(loss[0]).toBeGreaterThan(loss[1]!)
    expect(Math.abs(loss[3]!)).toBeLessThan(0.1)
    expect(open.beside[0]).toBeLessThan(8)
  })

  it('a source that is not there is refused with those that are', () => {
    const building = createBuilding(demoPlant, 1, unchanged, 20)
    expect(() => building.setByHand('back-door', true)).toThrow(/no source "back-door"; there are dock-door, yard-door/)
  })
})

it('the fine room stays within 0.3 K of 20 °C, in frost and in heat', () => {
  for (const outdoors of [-15, 37]) {
    const building = createBuilding(demoPlant, 1, unchanged, 20)
    const waste = new Float64Array([0, 0, 0, 1000])
    live(building, monday, 24, outdoors, waste)
    let worst = 0
    live(building, monday + 86_400_000, 24, outdoors, waste, () => {
      worst = Math.max(worst, Math.abs(building.air[3]! - 20))
    })
    expect(worst).toBeLessThan(0.3)
  }
})
