import { describe, expect, it } from 'vitest'
import { createSimulatedShop, demoPlant } from '../../simulators/index.js'

/** a Saturday: nothing works, but the air goes its way */
const saturday = Date.UTC(2026, 0, 10, 8)
const hour = 3_600_000
const id = 'mill-2'
const horizons = [900, 1800, 2700, 3600]
const rest = { spindle: 0, motion: 0 }

const shopAt = (start: number) => createSimulatedShop(demoPlant, { seed: 5, start })
const growthAt = (shop: ReturnType<typeof shopAt>) =>
  Object.fromEntries(Object.entries(shop.truth().machines[id]!.axes).map(([axis, { atWork }]) => [axis, atWork]))

describe('a job that might have begun', () => {
  const shop = shopAt(saturday)
  shop.advance(saturday + hour, () => {}, 3600)
  const mark = shop.mark(id)
  const began = growthAt(shop)
  shop.advance(saturday + 2 * hour, () => {}, 3600)
  const came = growthAt(shop)

  it('is what came when it is no job: the same air, no heat', () => {
    expect(shop.job(id)).toBeNull()
    const end = shop.jobCourse(mark, rest, horizons).at(-1)!
    for (const [axis, { atWork }] of Object.entries(end.axes)) {
      // a hundredth of a micrometre: steps of a minute for those of half a minute
      expect(Math.abs(atWork - came[axis]!)).toBeLessThan(1e-8)
      expect(Math.abs(came[axis]! - began[axis]!)).toBeGreaterThan(1e-8)
    }
  })

  it('warms the machine from its first minutes on, the more the harder it works, and leaves the shop as it is', () => {
    const usual = shop.usualJob(id)
    const hard = { spindle: 1, motion: 1 }
    const [still, working, hardest] = [rest, usual, hard].map(job => shop.jobCourse(mark, job, horizons))
    const screw = (course: typeof still, k: number) => course![k]!.axes.X!.displacement.value.at(-1)!
    for (const k of horizons.keys()) {
      expect(screw(working, k)).toBeGreaterThan(screw(still, k))
      expect(screw(hardest, k)).toBeGreaterThan(screw(working, k))
    }
    expect(growthAt(shop)).toEqual(came)
    expect(shop.jobCourse(mark, usual, horizons)).toEqual(working)
  })

  it('is not told before the air has come', () => {
    expect(() => shop.jobCourse(shop.mark(id), rest, horizons)).toThrow(RangeError)
  })
})

it('a machine that works goes as its own job says', () => {
  const monday = Date.UTC(2026, 0, 12, 5)
  const shop = shopAt(monday)
  let now = monday
  const step = () => {
    now += 60_000
    shop.advance(now, () => {}, 3600)
  }
  while (!shop.job(id)) step()
  const [mark, job] = [shop.mark(id), shop.job(id)!]
  for (let n = 0; n < 30; n++) step()
  // its first job is at least half an hour long
  expect(shop.job(id)).toBe(job)
  const end = shop.jobCourse(mark, job, [1800])[0]!
  const came = growthAt(shop)
  for (const [axis, { atWork }] of Object.entries(end.axes))
    expect(Math.abs(atWork - came[axis]!)).toBeLessThan(0.05e-6 + 0.01 * Math.abs(came[axis]!))
})
