import type { Change, WhatIfCase } from './answer.js'

/** A part as it was, and what heat predicts of it: as it was cut, and otherwise. */
export interface PartOtherwise {
  inspection: number
  /** m; measured less nominal, at the reference temperature */
  deviation: number
  /** m; what of it offsets made that were changed on the way; 0 if not given */
  offset?: number
  /** m; limits as deviations; null: none */
  lower: number | null
  upper: number | null
  /** m */
  predicted: number
  /** m; had it been cut otherwise */
  otherwise: number
  /** m, standard; of the prediction */
  uncertainty: number
}

/** standard normal; 90 % of it lie within */
const z = 1.6449
/** how finely the interval is looked through: the count of rejects need not rise or fall with the change */
const looks = 33

/** Whether a deviation lies beyond a limit; m, all. */
export const isReject = (deviation: number, { lower, upper }: Pick<PartOtherwise, 'lower' | 'upper'>): boolean =>
  (lower !== null && deviation < lower) || (upper !== null && deviation > upper)

const mean = (values: readonly number[]): number => values.reduce((sum, value) => sum + value, 0) / values.length

/** what moves all parts so that they lie in the middle of their limits; 0 where a limit is missing */
const toTheMiddle = (parts: readonly PartOtherwise[], deviations: readonly number[]): number => {
  const middles = parts.flatMap(({ lower, upper }) => (lower === null || upper === null ? [] : [(lower + upper) / 2]))
  return middles.length < parts.length ? 0 : mean(middles) - mean(deviations)
}

/**
 * What the same parts would have been like: what heat did not explain of each stays as it was.
 *
 * The interval of the rejects is that of the change, which is as uncertain, of its own size, as the predictions are of
 * theirs; the parts are the same ones, so that it holds no chance of drawing others.
 *
 * @param parts of one feature
 */
export const whatIf = (change: Change, parts: readonly PartOtherwise[]): WhatIfCase => {
  const rms = (of: (part: PartOtherwise) => number) => Math.sqrt(mean(parts.map(part => of(part) ** 2)))
  const size = rms(({ predicted }) => predicted)
  const relative = size > 0 ? Math.min(1, rms(({ uncertainty }) => uncertainty) / size) : 1
  const changed = (factor: number) =>
    parts.map(({ deviation, predicted, otherwise }) => deviation + factor * (otherwise - predicted))
  const rejectsOf = (deviations: readonly number[], moved: number) =>
    parts.reduce((count, part, i) => count + (isReject(deviations[i]! + moved, part) ? 1 : 0), 0)
  const outcome = (isCentred: boolean): WhatIfCase['offsetKept'] => {
    // who centres the parts again does it once: what offsets were changed by on the way is not done then
    const asSet = (factor: number) =>
      isCentred ? changed(factor).map((deviation, i) => deviation - (parts[i]!.offset ?? 0)) : changed(factor)
    const count = (factor: number) => {
      const deviations = asSet(factor)
      return rejectsOf(deviations, isCentred ? toTheMiddle(parts, deviations) : 0)
    }
    const deviations = asSet(1)
    const moved = isCentred ? toTheMiddle(parts, deviations) : 0
    const middle = mean(deviations)
    const counts = Array.from({ length: looks }, (_, i) => count(1 + z * relative * ((2 * i) / (looks - 1) - 1)))
    return {
      rejects: { value: count(1), low: Math.min(...counts), high: Math.max(...counts) },
      mean: middle + moved,
      spread: Math.sqrt(mean(deviations.map(deviation => (deviation - middle) ** 2))),
    }
  }
  return {
    change,
    parts: parts.length,
    rejectsAsItWas: parts.filter(part => isReject(part.deviation, part)).length,
    offsetKept: outcome(false),
    centred: outcome(true),
    deviations: changed(1).map((deviation, i) => ({ inspection: parts[i]!.inspection, deviation })),
  }
}
