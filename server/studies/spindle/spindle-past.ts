import type { Machine } from '../../../core/shop.js'
import { knownAsStated, movedAxis, SpindleFollower } from '../../../core/spindle/index.js'
import { doubtedStretches, type Past, wasBelieved } from '../../history/index.js'
import { knownByTests, spindleTestsOf } from './spindle-tests.js'

/** ms; a spindle is followed from so long before a span, so that it does not matter what it did before that */
const runUp = 24 * 3_600_000
/** about how many speeds are taken of a span */
const points = 2000
/** ms; nothing is said of a spindle whose speed was not heard of for so long */
const silence = 30 * 60_000

/** What a spindle added to an axis at a moment of the past, by its speed and the test that was known then. */
export interface SpindleThen {
  axis: string
  /** m, sign included */
  added: number
  /** m */
  standardUncertainty: number
}

/** The sensor that tells the speed of a machine's spindle. */
export const speedometerOf = ({ sensors }: Past['shop'], machine: Machine) =>
  sensors.find(({ at, unit }) => at.kind === 'spindle' && at.machine === machine.id && unit === '1/min')

/**
 * @param moments ms, rising
 * @returns one for each moment; null where the spindle's speed was not known, or nothing of its growth
 */
export const spindleThen = async (
  { shop, store }: Past,
  machine: Machine,
  moments: readonly number[],
): Promise<(SpindleThen | null)[]> => {
  const sensor = speedometerOf(shop, machine)
  const nothing = moments.map(() => null)
  const [first, last] = [moments[0], moments.at(-1)]
  if (!sensor || first === undefined || last === undefined) return nothing
  const tests = await spindleTestsOf(store, machine.id)
  const stated = machine.spindle ? knownAsStated(machine.spindle) : null
  if (tests.length === 0 && !stated) return nothing
  const doubted = doubtedStretches(await store.facts.newest('trust', first)).get(sensor.id) ?? []
  const speeds = (await store.series(sensor.id, first - runUp, last + 1, points)).points
  const followers = new Map<number, SpindleFollower | null>()
  /** by the newest test that was on record then */
  const followerAt = (moment: number): SpindleFollower | null => {
    const known = tests.filter(({ enteredAt }) => enteredAt <= moment)
    const key = known.length
    if (!followers.has(key)) {
      const told = knownByTests(known) ?? stated
      followers.set(key, told && new SpindleFollower(told))
    }
    return followers.get(key)!
  }
  // all that will be asked, before the speeds are told
  for (const moment of moments) followerAt(moment)
  const { axis, sign } = movedAxis(machine)
  let next = 0
  let heard = Number.NEGATIVE_INFINITY
  return moments.map(moment => {
    for (; next < speeds.length && speeds[next]!.at <= moment; next++) {
      heard = speeds[next]!.at
      for (const follower of followers.values()) follower?.take(heard, speeds[next]!.mean)
    }
    const follower = followerAt(moment)
    const now = moment - heard > silence ? null : follower?.now(moment)
    if (!follower || !now || !wasBelieved(doubted, moment)) return null
    const growth = now.parts.reduce((sum, x) => sum + x, 0)
    const { misfit, growth: relative } = follower.known
    return { axis, added: sign * growth, standardUncertainty: Math.hypot(misfit, relative * growth, now.unsure) }
  })
}
