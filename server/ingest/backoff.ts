const shortest = 500
const longest = 30_000

/**
 * How long to wait before the next attempt: doubling, with jitter so that many clients do not come back at once.
 *
 * @param failures attempts in a row that came to nothing, 1 or more
 * @param random   0..1
 * @returns ms, between half and the whole of 0.5 s, 1 s, 2 s … 30 s
 */
export const backoff = (failures: number, random: number): number => {
  const whole = Math.min(longest, shortest * 2 ** Math.min(failures - 1, 16))
  return Math.round(whole * (0.5 + random / 2))
}
