import type { WorkClass } from '../shop.js'
import { combinedError, nominalErrors, type Outlook, outlookAhead } from './job.js'
import { underPlan } from './plan.js'
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

/**
 * Index of the worst axis for a job that starts `ahead` seconds from now.
 *
 * @param coverage standard uncertainties added to the error: 2 for the thermal error index, 0 for the error alone
 * @returns percent of the tolerance
 */
const worstIndex = (
  outlook: Outlook,
  workClass: WorkClass,
  slopes: Sensitivities[],
  coverage: number,
  ahead: number,
): number => {
  let worst = 0
  const later = outlookAhead(outlook, ahead)
  const errors = nominalErrors(later, workClass)
  for (let i = 0; i < errors.length; i++) {
    const nominal = errors[i]!
    const expanded = coverage === 0 ? 0 : jobUncertainty(later, later.loop.axes[i]!, workClass, nominal, slopes[i]!)
    const index = thermalErrorIndex(combinedError(nominal), (coverage / 2) * expanded, workClass.tolerance)
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
  coverage: number,
  limit: number,
  end = horizon,
): Found => {
  let lowest = Number.POSITIVE_INFINITY
  let lowestAt = 0
  const within = (t: number) => {
    const index = worstIndex(outlook, workClass, slopes, coverage, t)
    if (index < lowest) {
      lowest = index
      lowestAt = t
    }
    return index <= limit
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
  const { at: first, lowestAt } = firstWithin(outlook, workClass, slopes, 2, limit, within)
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

/**
 * When a job could start, if conditions hold or under the outlook's plan.
 *
 * - latest: from then on its thermal error index, error with expanded uncertainty (k = 2), is within the limit of the
 *   verdict. This is what can be promised.
 * - likely: from then on its error alone is within the share.
 * - earliest: from then on that cannot be ruled out: the error less 1.645 standard uncertainties is within the share, or
 *   would be if all time constants were shorter by as much.
 *
 * @param limit percent; what the index must not exceed for the verdict
 * @returns `ready` null when no latest time is within 72 h; `lowest` the lowest index met until then, percent
 */
export const readyTime = (
  outlook: Outlook,
  workClass: WorkClass,
  limit: number,
): { ready: ReadyAhead | null; lowest: number } => {
  const slopes = outlook.loop.axes.map(axis => sensitivities(outlook, axis, workClass))
  const { at: latest, lowest } = firstWithin(outlook, workClass, slopes, 2, limit)
  if (latest === null) return { ready: null, lowest }
  const share = 100 * workClass.share
  const first = (of: Outlook, coverage: number) => firstWithin(of, workClass, slopes, coverage, share).at ?? latest
  const likely = Math.min(first(outlook, 0), latest)
  const quick = paced(outlook, u => Math.exp(-ninety * u))
  const earliest = Math.min(first(outlook, -ninety), first(quick, 0), likely)
  return { ready: { earliest, likely, latest }, lowest }
}
