import type { WorkClass } from '../shop.js'
import type { ReadyTime } from '../state.js'
import { combinedError, nominalErrors, type Outlook, outlookAhead } from './job.js'
import { underPlan } from './plan.js'
import { thermalErrorIndex } from './thermalErrorIndex.js'
import { contributions, expandedUncertainty, type Sensitivities, sensitivities } from './uncertainty.js'

/** s; further ahead no time is named */
export const horizon = 72 * 3600

/** Moments looked at: dense at first, then in steps that grow by a quarter. */
const moments: number[] = (() => {
  const all = [0]
  for (let t = 300; t < horizon; t = Math.max(t + 300, t * 1.25)) all.push(t)
  all.push(horizon)
  return all
})()

/** Index of the worst axis for a job that starts `ahead` seconds from now. */
const worstIndex = (outlook: Outlook, workClass: WorkClass, slopes: Sensitivities[], ahead: number): number => {
  let worst = 0
  const later = outlookAhead(outlook, ahead)
  const errors = nominalErrors(later, workClass)
  for (let i = 0; i < errors.length; i++) {
    const nominal = errors[i]!
    const uncertainty = expandedUncertainty(contributions(later, later.loop.axes[i]!, workClass, nominal, slopes[i]!))
    const index = thermalErrorIndex(combinedError(nominal), uncertainty, workClass.tolerance)
    if (!(index <= worst)) worst = index
  }
  return worst
}

interface Found {
  /** first moment at which the index is within the limit, s from now; null when none within the horizon */
  at: number | null
  /** lowest index met on the way, percent */
  lowest: number
}

const firstWithin = (outlook: Outlook, workClass: WorkClass, slopes: Sensitivities[], limit: number): Found => {
  let lowest = Number.POSITIVE_INFINITY
  const within = (t: number) => {
    const index = worstIndex(outlook, workClass, slopes, t)
    lowest = Math.min(lowest, index)
    return index <= limit
  }
  let before = 0
  for (const moment of moments) {
    if (within(moment)) {
      let [low, high] = [before, moment]
      while (high - low > 30) {
        const middle = (low + high) / 2
        if (within(middle)) high = middle
        else low = middle
      }
      return { at: high, lowest }
    }
    before = moment
  }
  return { at: null, lowest }
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

/**
 * When a job could start with its index within a limit, if conditions hold or under the outlook's plan.
 *
 * Earliest and latest: all time constants shorter, or longer, by their uncertainty (90 % interval).
 *
 * @param limit percent
 * @returns `ready` in s from now, null when no such time is within 72 h (`latest` null: later than the horizon);
 * `lowest` the lowest index met until then, percent
 */
export const readyTime = (
  outlook: Outlook,
  workClass: WorkClass,
  limit: number,
): { ready: ReadyTime | null; lowest: number } => {
  const slopes = outlook.loop.axes.map(axis => sensitivities(outlook, axis, workClass))
  const { at: likely, lowest } = firstWithin(outlook, workClass, slopes, limit)
  if (likely === null) return { ready: null, lowest }
  const quick = paced(outlook, u => Math.exp(-ninety * u))
  const slow = paced(outlook, u => Math.exp(ninety * u))
  const earliest = firstWithin(quick, workClass, slopes, limit).at ?? likely
  const latest = firstWithin(slow, workClass, slopes, limit).at
  const ready = {
    earliest: Math.min(earliest, likely),
    likely,
    latest: latest === null ? null : Math.max(latest, likely),
  }
  return { ready, lowest }
}
