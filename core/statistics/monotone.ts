/**
 * A curve through points that rises where they rise and falls where they fall, never beyond two neighbours: cubic between
 * points, with slopes held down so that it does not overshoot.
 *
 * @param x rising, any unit, at least two
 * @param y same length, any unit
 * @returns the curve between the first and the last x; beyond them the straight line of its slope there
 * @throws RangeError for fewer than two points, x and y of different length, or x that do not rise
 * @see Fritsch, F. N. & Carlson, R. E. (1980), SIAM J. Numer. Anal. 17, 238; slopes inside after Fritsch & Butland (1984),
 *   SIAM J. Sci. Stat. Comput. 5, 300
 */
export const monotoneCurve = (x: readonly number[], y: readonly number[]): ((at: number) => number) => {
  const n = x.length
  if (n < 2 || y.length !== n)
    throw new RangeError(`a curve through ${n} x and ${y.length} y: give at least two of each`)
  const run = x.slice(1).map((next, i) => next - x[i]!)
  if (!run.every(h => h > 0)) throw new RangeError('a curve needs x that rise: sort them and leave equal ones out')
  const rise = run.map((h, i) => (y[i + 1]! - y[i]!) / h)
  const slope = y.map((_, i) => {
    if (n === 2) return rise[0]!
    if (i === 0) return endSlope(run[0]!, run[1]!, rise[0]!, rise[1]!)
    if (i === n - 1) return endSlope(run[n - 2]!, run[n - 3]!, rise[n - 2]!, rise[n - 3]!)
    const [a, b] = [rise[i - 1]!, rise[i]!]
    if (a * b <= 0) return 0
    const [h, g] = [run[i - 1]!, run[i]!]
    return (3 * (h + g)) / ((2 * g + h) / a + (g + 2 * h) / b)
  })
  return at => {
    if (at <= x[0]!) return y[0]! + slope[0]! * (at - x[0]!)
    if (at >= x[n - 1]!) return y[n - 1]! + slope[n - 1]! * (at - x[n - 1]!)
    let i = 0
    while (at > x[i + 1]!) i++
    const h = run[i]!
    const t = (at - x[i]!) / h
    // Hermite's form, written as a way from the left point so that equal neighbours stay exactly equal
    return y[i]! + h * t * (slope[i]! * (1 - t) ** 2 + rise[i]! * t * (3 - 2 * t) - slope[i + 1]! * t * (1 - t))
  }
}

/** Slope of the parabola through the three points at an end, held where it would turn or overshoot. */
const endSlope = (h: number, g: number, near: number, next: number): number => {
  const slope = ((2 * h + g) * near - h * next) / (h + g)
  if (slope * near <= 0) return 0
  return near * next <= 0 && Math.abs(slope) > 3 * Math.abs(near) ? 3 * near : slope
}
