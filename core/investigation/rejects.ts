import { drawing } from '../statistics/drawing.js'
import { fisherExact, logisticFit, oddsRatio, wilsonInterval } from '../statistics/index.js'
import type { RejectCurve, ToldFigure, VerdictTable } from './answer.js'
import { halfDaysOf } from './chance.js'

const coverage = 0.9
const rounds = 1999
/** parts whose half days are exchanged: more, evenly picked, tell hardly more */
const mostExchanged = 400
/** verdicts that are looked up */
const mostWork = 2e5

/** A part with the verdict that the wall showed when it was cut. */
export interface JudgedPart {
  /** ms */
  at: number
  reject: boolean
}
type Shown = 'fit' | 'not fit' | null

const shareOf = (found: number, of: number): ToldFigure | null =>
  of === 0 ? null : { value: found / of, ...wilsonInterval(found, of, coverage) }

/**
 * Rejects against the verdict at the cut. The exact test takes parts as independent, which those of one half day are not;
 * the exchange of half days does not: the verdicts of a half day are put to the same half of another day.
 *
 * @param shownAt  what the wall showed at a moment, ms
 * @param midnight ms; one by the shop's clock
 */
export const verdictTable = (
  workClass: string | null,
  parts: readonly JudgedPart[],
  shownAt: (at: number, part: number) => Shown,
  midnight: number,
): VerdictTable => {
  const count = () => ({ good: 0, rejects: 0 })
  const tally = (shown: (i: number) => Shown, stride = 1) => {
    const cells = { fit: count(), 'not fit': count(), unknown: count() }
    for (let i = 0; i < parts.length; i += stride) cells[shown(i) ?? 'unknown'][parts[i]!.reject ? 'rejects' : 'good']++
    return cells
  }
  const now = parts.map(({ at }, i) => shownAt(at, i))
  const cells = tally(i => now[i]!)
  const { fit, 'not fit': notFit, unknown } = cells
  const [fits, others] = [fit.good + fit.rejects, notFit.good + notFit.rejects]
  const isTold = fits > 0 && others > 0 && fit.rejects + notFit.rejects > 0 && fit.good + notFit.good > 0
  const table = [
    [notFit.rejects, notFit.good],
    [fit.rejects, fit.good],
  ] as const
  const odds = isTold ? oddsRatio(table, coverage) : null
  const halfDays = isTold ? byHalfDays(parts, shownAt, midnight, tally) : null
  return {
    workClass,
    fit,
    notFit,
    unknown,
    rejectedFit: shareOf(fit.rejects, fits),
    rejectedNotFit: shareOf(notFit.rejects, others),
    exact: isTold ? fisherExact(table).twoSided : null,
    halfDays: halfDays?.chance ?? null,
    exchanges: halfDays?.ways ?? 0,
    oddsRatio: odds && { value: odds.ratio, low: odds.low, high: odds.high },
  }
}

type Cells = Record<'fit' | 'not fit' | 'unknown', { good: number; rejects: number }>

/** how much oftener a part was rejected when it was cut while not fit, as a difference of shares */
const difference = ({ fit, 'not fit': notFit }: Cells): number => {
  const [fits, others] = [fit.good + fit.rejects, notFit.good + notFit.rejects]
  return fits === 0 || others === 0 ? Number.NEGATIVE_INFINITY : notFit.rejects / others - fit.rejects / fits
}

const byHalfDays = (
  parts: readonly JudgedPart[],
  shownAt: (at: number, part: number) => Shown,
  midnight: number,
  tally: (shown: (i: number) => Shown, stride: number) => Cells,
): { chance: number; ways: number } => {
  const { ways, exchanged } = halfDaysOf([parts.map(({ at }) => at)], midnight)
  if (ways < 2) return { chance: 1, ways }
  const stride = Math.ceil(parts.length / mostExchanged)
  const here = difference(tally(i => shownAt(parts[i]!.at, i), stride))
  const some = Math.max(199, Math.min(rounds, Math.floor(mostWork / parts.length)))
  const draw = drawing(4711)
  let asGood = 0
  for (let round = 0; round < some; round++) {
    const by = exchanged(draw)
    const moved = difference(tally(i => shownAt(parts[i]!.at + by(0, i), i), stride))
    if (moved >= here - 1e-12) asGood++
  }
  return { chance: (asGood + 1) / (some + 1), ways: Math.min(ways, some) }
}

const bins = 5
const curvePoints = 41
/** standard normal; 90 % of it lie within */
const z = 1.6449

/**
 * How often a part was rejected over how much heat alone made it off.
 *
 * @param errors m; predicted errors, their sign does not matter
 * @returns null where all parts were good, or none, or all errors are alike
 */
export const rejectCurve = (errors: readonly number[], rejects: readonly boolean[]): RejectCurve | null => {
  const sizes = errors.map(Math.abs)
  const fit = logisticFit(sizes, rejects)
  if (!fit) return null
  const { intercept, slope, interceptError, slopeError, covariance, penalised } = fit
  const highest = sizes.reduce((most, size) => Math.max(most, size), 0)
  const probability = (odds: number) => 1 / (1 + Math.exp(-odds))
  const half = -intercept / slope
  const sorted = sizes.map((size, i) => ({ size, reject: rejects[i]! })).sort((a, b) => a.size - b.size)
  return {
    separated: penalised,
    half: slope > 0 && half > 0 && half <= 2 * highest ? half : null,
    points: Array.from({ length: curvePoints }, (_, i) => {
      const error = (highest * i) / (curvePoints - 1)
      const odds = intercept + slope * error
      const off = z * Math.sqrt(Math.max(0, interceptError ** 2 + 2 * error * covariance + (error * slopeError) ** 2))
      return {
        error,
        probability: probability(odds),
        low: penalised ? null : probability(odds - off),
        high: penalised ? null : probability(odds + off),
      }
    }),
    bins: Array.from({ length: bins }, (_, i) =>
      sorted.slice(Math.round((i * sorted.length) / bins), Math.round(((i + 1) * sorted.length) / bins)),
    )
      .filter(own => own.length > 0)
      .map(own => {
        const found = own.filter(({ reject }) => reject).length
        const share = shareOf(found, own.length)!
        return { from: own[0]!.size, to: own.at(-1)!.size, parts: own.length, rejects: found, share }
      }),
  }
}
