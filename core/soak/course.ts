/** One piece of the course of the surroundings' temperature: from a moment on it is so. */
export interface Stretch {
  /** s since the soak began; the first is 0 */
  after: number
  /** °C */
  temperature: number
}

/** moments in each stretch that are looked at, to find the last at which the part is further off than allowed */
const looks = 60

/** By how much the part is suddenly warmer than its surroundings, K, and when, s. */
const jumpsOf = (start: number, course: readonly Stretch[]) =>
  course.map(({ after, temperature }, i) => ({ after, by: (course[i - 1]?.temperature ?? start) - temperature }))

/**
 * How far a part's mean temperature is from that of its surroundings, each of whose jumps it approaches on its own
 * (superposition: Duhamel).
 *
 * @param left what remains of a jump after so many seconds, 1 to 0
 * @param start °C; the part's
 * @param course of the surroundings' temperature, in order of time
 * @param elapsed s since the soak began
 * @returns K; positive when the part is warmer
 */
export const differenceAt = (
  left: (elapsed: number) => number,
  start: number,
  course: readonly Stretch[],
  elapsed: number,
): number =>
  jumpsOf(start, course).reduce((sum, { after, by }) => (after > elapsed ? sum : sum + by * left(elapsed - after)), 0)

/**
 * When the part has come so near to its surroundings that it stays so, to the end of the course and beyond.
 *
 * @param left, start, course as in `differenceAt`
 * @param allowed K, above 0
 * @returns s since the soak began; 0 when it is so near from the beginning
 */
export const settledAfter = (
  left: (elapsed: number) => number,
  start: number,
  course: readonly Stretch[],
  allowed: number,
): number => {
  const away = (elapsed: number) => Math.abs(differenceAt(left, start, course, elapsed)) > allowed
  // none of the jumps can leave more than this; what is beyond its end is settled for good
  const most = (elapsed: number) =>
    jumpsOf(start, course).reduce((sum, { after, by }) => sum + Math.abs(by) * left(elapsed - after), 0)
  const last = course.at(-1)!.after
  let wait = 1
  while (most(last + wait) > allowed) wait *= 2
  const ends = [...course.map(({ after }) => after), last + wait]
  for (let i = ends.length - 2; i >= 0; i--) {
    const [from, to] = [ends[i]!, ends[i + 1]!]
    // the moment before a jump belongs to the stretch that it ends
    const moment = (n: number) => from + ((to - from) * n) / looks - (n === looks ? 1e-6 : 0)
    for (let n = looks; n >= 0; n--) {
      if (!away(moment(n))) continue
      if (n === looks) return to
      let [low, high] = [moment(n), moment(n + 1)]
      for (let step = 0; step < 50; step++) {
        const middle = (low + high) / 2
        if (away(middle)) low = middle
        else high = middle
      }
      return high
    }
  }
  return 0
}
