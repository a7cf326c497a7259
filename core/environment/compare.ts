import { z } from 'zod'
import { metres, time } from '../quantities.js'

const compared = z.object({
  at: time,
  measured: metres.describe("m; in the axis' sense, counted from the first value compared"),
  predicted: metres.describe('m; by the stored temperatures, counted from where it agrees with the log on average'),
  residual: metres.describe('m; measured − predicted'),
})
export const comparison = z.object({
  points: z.array(compared),
  rms: metres.describe('m; root mean square of the residuals'),
  rmsMeasured: metres.describe(
    'm; the same of the measured values about their mean: the rms had nothing been predicted',
  ),
  largest: compared.pick({ at: true, residual: true }).describe('the residual that is furthest from zero'),
  leftOut: z.number().describe('values at moments for which no growth can be told'),
})
/** How a log of an indicator or probe agrees with the growth predicted from temperatures. */
export type Comparison = z.infer<typeof comparison>

/** Growth at a moment between two neighbours that are no further apart than `longestGap`; NaN elsewhere. */
const between = (
  times: readonly number[],
  values: readonly number[],
  at: number,
  after: number,
  longestGap: number,
) => {
  if (times[after] === at) return values[after]!
  const before = after - 1
  if (before < 0 || after >= times.length) return Number.NaN
  const gap = times[after]! - times[before]!
  if (gap > longestGap) return Number.NaN
  return values[before]! + ((values[after]! - values[before]!) * (at - times[before]!)) / gap
}

/**
 * Compares a log of an indicator or probe with the growth predicted from temperatures. Where an indicator stands at zero
 * says nothing, so the mean difference is taken out.
 *
 * @param log        values in m, `sign` +1 where a longer axis reads higher, −1 where it reads lower; rising in time
 * @param times      ms, rising; of the prediction
 * @param predicted  m, as many; NaN where nothing is known
 * @param longestGap ms; over longer gaps nothing is interpolated
 * @returns null when fewer than two values can be compared
 */
export const compareWithLog = (
  log: readonly { at: number; value: number }[],
  sign: 1 | -1,
  times: readonly number[],
  predicted: readonly number[],
  longestGap: number,
): Comparison | null => {
  const pairs: { at: number; measured: number; growth: number }[] = []
  let after = 0
  for (const { at, value } of log) {
    while (after < times.length && times[after]! < at) after++
    const growth = between(times, predicted, at, after, longestGap)
    if (Number.isFinite(growth) && Number.isFinite(value)) pairs.push({ at, measured: sign * value, growth })
  }
  if (pairs.length < 2) return null
  const first = pairs[0]!.measured
  for (const pair of pairs) pair.measured -= first
  const mean = (pick: (p: (typeof pairs)[number]) => number) =>
    pairs.reduce((sum, p) => sum + pick(p), 0) / pairs.length
  const offset = mean(p => p.measured - p.growth)
  const level = mean(p => p.measured)
  const points = pairs.map(({ at, measured, growth }) => {
    const predictedHere = growth + offset
    return { at, measured, predicted: predictedHere, residual: measured - predictedHere }
  })
  const largest = points.reduce((far, p) => (Math.abs(p.residual) > Math.abs(far.residual) ? p : far))
  return {
    points,
    rms: Math.sqrt(points.reduce((sum, p) => sum + p.residual ** 2, 0) / points.length),
    rmsMeasured: Math.sqrt(points.reduce((sum, p) => sum + (p.measured - level) ** 2, 0) / points.length),
    largest: { at: largest.at, residual: largest.residual },
    leftOut: log.length - points.length,
  }
}
