/**
 * What each of several chances may be at most to count, when the chance that any counts wrongly is to stay within a level:
 * the smallest is held against the level divided by how many there are, the next by one fewer, and so on; after the first
 * that does not count none does.
 *
 * @param chances 0..1
 * @param level   0..1
 * @returns same order; for those after the first that does not count, what that one was held against
 * @see Holm, S. (1979), Scand. J. Statist. 6, 65
 */
export const holmLevels = (chances: readonly number[], level: number): number[] => {
  const levels = new Array<number>(chances.length)
  const order = chances.map((_, i) => i).sort((a, b) => chances[a]! - chances[b]!)
  let stopped: number | null = null
  order.forEach((i, rank) => {
    levels[i] = stopped ?? level / (chances.length - rank)
    if (stopped === null && !(chances[i]! <= levels[i]!)) stopped = levels[i]!
  })
  return levels
}
