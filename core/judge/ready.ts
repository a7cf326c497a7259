import type { WorkClass } from '../shop.js'
import { combinedError, type NominalError, nominalErrors } from './job.js'
import { onTheWay } from './on-the-way.js'
import { once } from './once.js'
import { type Outlook, outlookAhead } from './outlook.js'
import { asUsual, underPlan } from './plan.js'
import { thermalErrorIndex } from './thermal-error-index.js'
import { jobUncertainty, type Sensitivities, sensitivities } from './uncertainty.js'

/** s; further ahead no time is named */
const horizon = 72 * 3600

/** Moments looked at, s from now: dense at first, then in steps that grow by a quarter. */
const momentsUntil = (end: number): number[] => {
  const all = [0]
  for (let t = 300; t < end; t = Math.max(t + 300, t * 1.25)) all.push(t)
  all.push(end)
  return all
}

/** How a search counts what is not known. */
interface Counting {
  /** standard uncertainties added to the error: 2 for the thermal error index, 0 for the error alone */
  coverage: number
  /** and standard uncertainties of what may come until then, in the same direction */
  onTheWay: number
}

/** What is known of a job that starts at a moment ahead: m, in the order of the axes; of each what is asked for. */
interface Start {
  errors: NominalError[]
  /** expanded uncertainties */
  uncertainties: () => number[]
  /** standard uncertainties by what may come until then */
  ways: () => number[]
}

/**
 * Starts of a job so many seconds ahead. Several searches look at the same moments, each in its own way, so what was
 * found of one is kept.
 */
const startsOf = (outlook: Outlook, workClass: WorkClass): ((ahead: number) => Start) => {
  const { axes } = outlook.loop
  const slopes = once(() => axes.map(axis => sensitivities(outlook, axis, workClass)))
  // a course costs more to compute than all else here
  const courses = once(() => outlook.nodes.map(node => node.course?.() ?? null))
  const found = new Map<number, Start>()
  return ahead => {
    const before = found.get(ahead)
    if (before) return before
    const later = outlookAhead(outlook, ahead)
    const errors = nominalErrors(later, workClass)
    const wayOf = (of: Sensitivities) =>
      Math.hypot(...onTheWay({ outlook, courses: courses(), zeroing: false }, later, of, workClass, ahead))
    const start = {
      errors,
      uncertainties: once(() =>
        axes.map((axis, i) => jobUncertainty(later, axis, workClass, errors[i]!, slopes()[i]!)),
      ),
      ways: once(() => slopes().map(wayOf)),
    }
    found.set(ahead, start)
    return start
  }
}

/** Index of the worst axis for a job that starts so, percent of the tolerance. */
const worstIndex = ({ errors, uncertainties, ways }: Start, { tolerance }: WorkClass, counting: Counting): number => {
  const { coverage } = counting
  let worst = 0
  for (let i = 0; i < errors.length; i++) {
    const expanded = coverage === 0 ? 0 : uncertainties()[i]!
    const way = counting.onTheWay === 0 ? 0 : ways()[i]!
    const counted = (coverage / 2) * expanded + counting.onTheWay * way
    const index = thermalErrorIndex(combinedError(errors[i]!), counted, tolerance)
    if (!(index <= worst)) worst = index
  }
  return worst
}

interface Found {
  /** first moment at which the index is within the limit, s from now; null when none within the horizon */
  at: number | null
  /** percent; lowest index met on the way */
  lowest: number
  /** s from now; where it was met */
  lowestAt: number
}

/** @param sooner s from now; what is found at or after it is of no use to who asks */
const firstWithin = (
  starts: (ahead: number) => Start,
  workClass: WorkClass,
  counting: Counting,
  limit: number,
  { end = horizon, stay = 0, sooner = Number.POSITIVE_INFINITY } = {},
): Found => {
  let lowest = Number.POSITIVE_INFINITY
  let lowestAt = 0
  const indexAt = (t: number) => worstIndex(starts(t), workClass, counting)
  const within = (t: number) => {
    const index = indexAt(t)
    if (index < lowest) {
      lowest = index
      lowestAt = t
    }
    return index <= limit && (stay === 0 || indexAt(t + stay) <= limit)
  }
  let before = 0
  for (const moment of momentsUntil(end)) {
    if (before >= sooner) break
    if (within(moment)) {
      let [low, high] = [before, moment]
      while (high - low > 30) {
        const middle = (low + high) / 2
        if (within(middle)) high = middle
        else low = middle
      }
      return { at: high, lowest, lowestAt }
    }
    before = moment
  }
  return { at: null, lowest, lowestAt }
}

/**
 * When the thermal error index of a job is low enough, and where it is lowest until then.
 *
 * @param limit percent
 * @returns by how far ahead it is looked for (s): s from now; `first` null when it is not low enough within that time, else
 *   `lowestAt` is the same moment
 */
export const earliestAndLowest = (
  outlook: Outlook,
  workClass: WorkClass,
  limit: number,
): ((within: number) => { first: number | null; lowestAt: number }) => {
  const starts = startsOf(outlook, workClass)
  return within => {
    const { at: first, lowestAt } = firstWithin(starts, workClass, ruled(outlook), limit, { end: within })
    return { first, lowestAt: first ?? lowestAt }
  }
}

const paced = (outlook: Outlook, pace: (uncertainty: number) => number): Outlook => {
  const nodes = outlook.nodes.map(node => ({
    ...node,
    timeConstant: node.timeConstant * pace(node.timeConstantUncertainty),
  }))
  return outlook.plan ? underPlan({ ...outlook, nodes }, outlook.plan) : { ...outlook, nodes }
}

/** factor on a standard uncertainty for a 90 % interval of a normal distribution */
const ninety = 1.645

/** A ready time in s from now; its latest without the wait that a verdict must prove itself for. */
export interface ReadyAhead {
  earliest: number
  likely: number
  latest: number
}

/** factor on a standard uncertainty which a normal distribution exceeds on one side with a probability of one in ten */
const nineOfTen = 1.2816

/** What a verdict counts. */
const ruled = ({ coverage = 2 }: Outlook): Counting => ({ coverage, onTheWay: 0 })
const errorAlone: Counting = { coverage: 0, onTheWay: 0 }

/**
 * When a job could start, as its sources usually go or under the outlook's plan.
 *
 * - latest: from then on its error, with the uncertainty that the decision rule asks for, is within the limit of the
 *   verdict, and so it is a while later; where it is known how its sources usually go, with a probability of nine in ten
 *   given what may come until then. This is what can be promised.
 * - likely: from then on its error alone is within the share.
 * - earliest: from then on that cannot be ruled out: the error less 1.645 standard uncertainties is within the share, or
 *   would be if all time constants were shorter by as much.
 *
 * @param limit percent; what error and uncertainty must not exceed for the verdict
 * @param stay  s; how long it must not do so
 * @param settled percent; what they must not exceed for it to be settling, where no time can be promised
 * @returns `ready` null when no latest time is within 72 h; `settles` whether the error with its uncertainty comes to be
 *   within `settled` as its sources usually go, if perhaps too seldom for a time to be promised; `lowest` the lowest index
 *   met until then, percent
 */
export const readyTime = (
  held: Outlook,
  workClass: WorkClass,
  limit: number,
  stay = 0,
  settled = limit,
): { ready: ReadyAhead | null; settles: boolean; lowest: number } => {
  const outlook = asUsual(held)
  // under a plan, and where nothing has been learned, what may come until then is not known
  const isLearned = outlook !== held
  const starts = startsOf(outlook, workClass)
  const search = (counting: Counting, most: number) => firstWithin(starts, workClass, counting, most, { stay })
  const ofLatest = { ...ruled(outlook), onTheWay: isLearned ? nineOfTen : 0 }
  const { at: latest, lowest } = search(ofLatest, limit)
  if (latest === null) {
    const settles = (isLearned || settled > limit) && search(ruled(outlook), settled).at !== null
    return { ready: null, settles, lowest }
  }
  const share = 100 * workClass.share
  const firstBefore = (sooner: number, counting: Counting, of = starts) =>
    Math.min(firstWithin(of, workClass, counting, share, { sooner }).at ?? sooner, sooner)
  const likely = firstBefore(latest, errorAlone)
  const bound = firstBefore(likely, { coverage: -ninety, onTheWay: isLearned ? -ninety : 0 })
  const quick = () =>
    startsOf(
      paced(held, u => Math.exp(-ninety * u)),
      workClass,
    )
  const earliest = bound > 0 ? firstBefore(bound, errorAlone, quick()) : bound
  return { ready: { earliest, likely, latest }, settles: true, lowest }
}
