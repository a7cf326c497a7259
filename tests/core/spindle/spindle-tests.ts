import type { GrowthTest } from '../../../core/spindle/growth-test.js'
import type { SpindleStep } from '../../../core/spindle/index.js'
import { randomStream } from '../../../simulators/random.js'
import { indicatorReadings, type SpindlePlant, spindleGrowth } from '../../../simulators/spindle.js'

/** minutes into each step at which somebody reads the indicator */
const readAt = [1, 2, 3, 5, 7, 10, 15, 20, 25, 30, 40, 50, 60]

/** An hour at each of four speeds, one of them again on the way down, and an hour at rest. */
export const usualSteps: SpindleStep[] = [50, 100, 150, 200, 100, 0].map(speed => ({ speed, duration: 3600 }))

/** A growth test of an invented spindle: an indicator of 1 µm steps, read by hand with 0.5 µm of scatter. */
export const testOf = (plant: SpindlePlant, seed: number, steps: readonly SpindleStep[] = usualSteps): GrowthTest => {
  let end = 0
  const times = steps.flatMap(({ duration }) => {
    end += duration
    return readAt.map(minutes => 60 * minutes).flatMap(at => (at <= duration ? [end - duration + at] : []))
  })
  const read = indicatorReadings(spindleGrowth(plant, steps, times), seed)
  return {
    steps: [...steps],
    readings: times.map((at, i) => ({ at, growth: read[i]! })),
    toolLength: 0.12,
    indicatorHeight: 0.15,
    resolution: 1e-6,
  }
}

/** Three to twelve runs of 2 to 40 minutes, one in five of them at rest, at speeds that were mostly not tested. */
export const dutyCycle = (seed: number): { course: SpindleStep[]; times: number[] } => {
  const random = randomStream(seed, 'duty cycle')
  const course = Array.from({ length: 3 + Math.floor(random.uniform() * 10) }, () => ({
    speed: random.uniform() < 0.2 ? 0 : random.between(20, 200),
    duration: random.between(120, 2400),
  }))
  const end = course.reduce((sum, { duration }) => sum + duration, 0)
  return { course, times: Array.from({ length: Math.floor(end / 60) }, (_, i) => 60 * (i + 1)) }
}
