import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { learnedAir, setbacksIn, usualTime } from '../../../core/heating/index.js'
import { stepResponse } from '../../../core/heating/step-response.js'
import { createSimulatedShop, demoPlant } from '../../../simulators/index.js'
import { evenly } from '../../evenly.js'

const quarter = 900
const hour = 3_600_000
const day = 24 * hour

describe('air that goes elsewhere from one time on', () => {
  it('is found again, whatever its level, drift, depth, time and time constant', () => {
    fc.assert(
      fc.property(
        evenly(5, 25),
        evenly(-0.2, 0.2),
        evenly(1, 12),
        fc.boolean(),
        evenly(2, 8),
        evenly(0.2, 2),
        (level, drift, depth, rises, begins, constant) => {
          const at = begins * 3600
          const times = Array.from({ length: 56 }, (_, i) => i * quarter)
          const to = level + (rises ? depth : -depth)
          const values = times.map(t =>
            t < at ? level + (drift * (t - at)) / 3600 : to + (level - to) * Math.exp(-(t - at) / (constant * 3600)),
          )
          const found = stepResponse(times, values)!
          expect(Math.abs(found.at - at)).toBeLessThan(60)
          expect(Math.abs(found.to - to)).toBeLessThan(0.01 * depth)
          expect(found.timeConstant / (constant * 3600)).toBeCloseTo(1, 1)
          expect(found.explained).toBeGreaterThan(0.999)
        },
      ),
      { numRuns: 60 },
    )
  })
  it('is not found in too few values', () => {
    expect(stepResponse([0, 900, 1800], [1, 2, 3])).toBeNull()
  })
})

describe('setbacks', () => {
  it('are seen in the true air of the simulated shop when its thermostat is set back and comes again, within 20 min', () => {
    const start = Date.parse('2026-01-12T00:00:00+01:00')
    const simulated = createSimulatedShop(demoPlant, { seed: 61, start })
    const { weekdays, from, to } = demoPlant.workingHours
    const at: number[] = []
    const hall: number[] = []
    const room: number[] = []
    for (let time = start; time < start + 8 * day; time += quarter * 1000) {
      simulated.advance(time, () => {}, 3600)
      const { machines } = simulated.truth()
      at.push(time)
      hall.push(machines['mill-1']!.air)
      room.push(machines['mill-3']!.air)
    }
    const midnights = Array.from({ length: 8 }, (_, i) => start + i * day)
    const seen = setbacksIn({ at, value: hall }, midnights)
    const heated = midnights.filter((_, i) => weekdays.includes((i % 7) + 1)).map(midnight => midnight + from * hour)
    const dayOf = (time: number) => Math.floor((time - start) / day)
    expect(seen.map(({ back }) => dayOf(back.at))).toEqual(heated.map(dayOf))
    seen.forEach(({ back, away }, i) => {
      expect(Math.abs(back.at - heated[i]!)).toBeLessThan(hour / 3)
      expect(back.to - back.from).toBeGreaterThan(1)
      if (i > 0) {
        // the evening of the working day before
        const evening = heated[i - 1]! + (to - from) * hour
        expect(Math.abs(away!.at - evening)).toBeLessThan(hour / 3)
      }
    })
    // the fine room is never set back
    expect(setbacksIn({ at, value: room }, midnights)).toEqual([])

    const learned = learnedAir(seen, 9 * hour)!
    expect(learned.back.to.value).toBeGreaterThan(learned.away.to.value + 1)
  })
  it('fewer than three are no custom', () => {
    expect(learnedAir([], 9 * hour)).toBeNull()
    expect(usualTime([5 * 3600, 5 * 3600])).toBeNull()
    expect(usualTime([5 * 3600, 6 * 3600, 5 * 3600])).toBe(5 * 3600)
  })
})
