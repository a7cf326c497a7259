import type { WorkClass } from '../shop.js'
import { combinedError, nominalErrors, type Outlook, outlookAhead } from './job.js'
import { onTheWay, type Way } from './on-the-way.js'
import { asUsual, underPlan } from './plan.js'
import { thermalErrorIndex } from './thermal-error-index.js'
import { jobUncertainty, type Sensitivities, sensitivities } from './uncertainty.js'

/** s; further ahead no time is named */
export const horizon = 72 * 3600

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

/**
 * Index of the worst axis for a job that starts `ahead` seconds from now.
 *
 * @returns percent of the tolerance
 */
const worstIndex = (
  outlook: Outlook,
  workClass: WorkClass,
  slopes: Sensitivities[],
  counting: Counting,
  ahead: number,
  courses: Way['courses'],
): number => {
  let worst = 0
  const later = outlookAhead(outlook, ahead)
  const errors = nominalErrors(later, workClass)
  for (let i = 0; i < errors.length; i++) {
    const nominal = errors[i]!
    const { coverage } = counting
    const expanded = coverage === 0 ? 0 : jobUncertainty(later, later.loop.axes[i]!, workClass, nominal, slopes[i]!)
    const way =
      counting.onTheWay === 0
        ? 0
        : Math.hypot(...onTheWay({ outlook, courses, zeroing: false }, later, slopes[i]!, workClass, ahead))
    const counted = (coverage / 2) * expanded + counting.onTheWay * way
    const index = thermalErrorIndex(combinedError(nominal), counted, workClass.tolerance)
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

const firstWithin = (
  outlook: Outlook,
  workClass: WorkClass,
  slopes: Sensitivities[],
  counting: Counting,
  limit: number,
  { end = horizon, stay = 0 } = {},
): Found => {
  let lowest = Number.POSITIVE_INFINITY
  let lowestAt = 0
  // a course costs more to compute than all else here
  const courses = counting.onTheWay === 0 ? [] : outlook.nodes.map(node => node.course?.() ?? null)
  const indexAt = (t: number) => worstIndex(outlook, workClass, slopes, counting, t, courses)
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
 * @param limit  percent
 * @param within s; how far ahead it is looked for
 * @returns s from now; `first` null when it is not low enough within that time, else `lowestAt` is the same moment
 */
export const earliestAndLowest = (
  outlook: Outlook,
  workClass: WorkClass,
  limit: number,
  within: number,
): { first: number | null; lowestAt: number } => {
  const slopes = outlook.loop.axes.map(axis => sensitivities(outlook, axis, workClass))
  const { at: first, lowestAt } = firstWithin(outlook, workClass, slopes, ruled(outlook), limit, { end: within })
  return { first, lowestAt: first ?? lowestAt }
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
 * @returns `ready` null when no latest time is within 72 h; `settles` whether the error with its uncertainty comes to be
 *   within the limit as its sources usually go, if perhaps too seldom for a time to be promised; `lowest` the lowest index
 *   met until then, percent
 */
export const readyTime = (
  held: Outlook,
  workClass: WorkClass,
  limit: number,
  stay = 0,
): { ready: ReadyAhead | null; settles: boolean; lowest: number } => {
  const outlook = asUsual(held)
  // under a plan, and where nothing has been learned, what may come until then is not known
  const isLearned = outlook !== held
  const slopes = outlook.loop.axes.map(axis => sensitivities(outlook, axis, workClass))
  const search = (of: Outlook, counting: Counting, most: number, wait = 0) =>
    firstWithin(of, workClass, slopes, counting, most, { stay: wait })
  const { at: latest, lowest } = search(
    outlook,
    { ...ruled(outlook), onTheWay: isLearned ? nineOfTen : 0 },
    limit,
    stay,
  )
  if (latest === null) {
    const settles = isLearned && search(outlook, ruled(outlook), limit, stay).at !== null
    return { ready: null, settles, lowest }
  }
  const share = 100 * workClass.share
  const first = (of: Outlook, counting: Counting) => search(of, counting, share).at ?? latest
  const likely = Math.min(first(outlook, errorAlone), latest)
  const quick = paced(held, u => Math.exp(-ninety * u))
  const earliest = Math.min(
    first(outlook, { coverage: -ninety, onTheWay: isLearned ? -ninety : 0 }),
    first(quick, errorAlone),
    likely,
  )
  return { ready: { earliest, likely, latest }, settles: true, lowest }
}
