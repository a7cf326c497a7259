import { mean } from './spread.js'

/**
 * How much a series goes with itself, so many steps later.
 *
 * @param lag steps, whole, 0 and more
 * @returns −1..1; NaN for a series that does not move
 * @see NIST StRD, univariate summary statistics: Σ(yᵢ − ȳ)(yᵢ₊ₖ − ȳ) ÷ Σ(yᵢ − ȳ)²
 */
export const autocorrelation = (series: ArrayLike<number>, lag: number): number => {
  const centre = mean(series)
  let [together, alone] = [0, 0]
  for (let i = 0; i < series.length; i++) {
    alone += (series[i]! - centre) ** 2
    if (i + lag < series.length) together += (series[i]! - centre) * (series[i + lag]! - centre)
  }
  return together / alone
}
