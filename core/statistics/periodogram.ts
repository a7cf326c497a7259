import { mean } from './spread.js'

/** How strongly a period is in a series. */
interface PeriodPower {
  /** in the unit of the times */
  period: number
  /** of white noise 1 on average, in units of its variance */
  power: number
}

/**
 * Periodogram of a series whose samples are not evenly spaced.
 *
 * @param times   rising, any unit
 * @param values  same length
 * @param periods to look at, in the unit of the times
 * @returns one power for each period, in their order
 * @see Lomb, N. R. (1976), Astrophys. Space Sci. 39, 447; Scargle, J. D. (1982), Astrophys. J. 263, 835, eq. 10
 */
export const periodogram = (
  times: readonly number[],
  values: readonly number[],
  periods: readonly number[],
): PeriodPower[] => {
  const centre = mean(values)
  const variance = values.reduce((sum, value) => sum + (value - centre) ** 2, 0) / (values.length - 1)
  return periods.map(period => {
    const frequency = (2 * Math.PI) / period
    let [sines, cosines] = [0, 0]
    for (const time of times) {
      sines += Math.sin(2 * frequency * time)
      cosines += Math.cos(2 * frequency * time)
    }
    const shift = Math.atan2(sines, cosines) / (2 * frequency)
    let [c, s, cc, ss] = [0, 0, 0, 0]
    times.forEach((time, i) => {
      const [cosine, sine] = [Math.cos(frequency * (time - shift)), Math.sin(frequency * (time - shift))]
      c += (values[i]! - centre) * cosine
      s += (values[i]! - centre) * sine
      cc += cosine * cosine
      ss += sine * sine
    })
    return { period, power: (c * c) / cc / (2 * variance) + (s * s) / ss / (2 * variance) }
  })
}

/**
 * Probability that the highest of so many independent powers of white noise is as high as one that was found.
 *
 * @param power       of the found one, as `periodogram` gives it
 * @param frequencies how many independent ones were looked at
 * @returns 0..1
 * @see Scargle, J. D. (1982), Astrophys. J. 263, 835, eq. 14
 */
export const falseAlarmProbability = (power: number, frequencies: number): number =>
  -Math.expm1(frequencies * Math.log1p(-Math.exp(-power)))
