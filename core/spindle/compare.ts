import { studentFactor } from '../statistics/student-t.js'
import type { SpindleAnswer } from './answer.js'
import type { SpindleModel } from './fit.js'

/** Change of steady growth at one speed from one test to another. */
type SpeedChange = SpindleAnswer['tests'][number]['changes'][number]

/** overall probability of calling a spindle changed that is not */
const mistaken = 0.05

/**
 * Whether a spindle's steady growth has changed between two tests, beyond what both do not know. With many speeds each is
 * judged the more strictly, so that an unchanged spindle is called changed in one comparison of twenty at most (Bonferroni).
 *
 * @param repeatability m; standard deviation by which the same spindle's growth differs from day to day, where it is known
 * @returns one entry for each speed that both tests ran, rising; none when they have no speed in common
 * @see GUM (JCGM 100:2008), 5.1 and G.3
 */
export const compareTests = (earlier: SpindleModel, later: SpindleModel, repeatability = 0): SpeedChange[] => {
  const both = earlier.steady.flatMap(before => {
    const after = later.steady.find(({ speed }) => speed === before.speed)
    return after ? [{ before, after }] : []
  })
  const factor =
    both.length > 0
      ? studentFactor(1 - mistaken / both.length, Math.min(earlier.degreesOfFreedom, later.degreesOfFreedom))
      : 0
  return both.map(({ before, after }) => {
    const change = after.growth - before.growth
    const uncertainty = Math.hypot(
      before.standardError,
      after.standardError,
      earlier.misfit,
      later.misfit,
      Math.SQRT2 * repeatability,
    )
    const halfInterval = factor * uncertainty
    return { speed: before.speed, change, halfInterval, changed: Math.abs(change) > halfInterval }
  })
}
