interface Corner {
  at: number[]
  cost: number
}

/**
 * Lowest point of a function of a few variables, by a simplex that reflects, stretches and shrinks (Nelder–Mead).
 * A generator, so that a caller can let other work in between: each step costs one or two evaluations.
 *
 * @param cost    of a point; NaN counts as infinitely high
 * @param start   first corner
 * @param size    how far the other corners lie from it, by variable
 * @param most    evaluations after which no further step is begun
 * @returns the lowest point found
 * @see Nelder, J. A. & Mead, R. (1965), The Computer Journal 7, 308
 */
export function* lowest(
  cost: (at: readonly number[]) => number,
  start: readonly number[],
  size: readonly number[],
  most: number,
): Generator<void, Corner> {
  let evaluations = 0
  const corner = (at: number[]): Corner => {
    evaluations++
    const found = cost(at)
    return { at, cost: Number.isNaN(found) ? Number.POSITIVE_INFINITY : found }
  }
  const corners = [corner([...start])]
  for (let i = 0; i < start.length; i++) {
    corners.push(corner(start.map((x, k) => (k === i ? x + size[i]! : x))))
    yield
  }
  while (evaluations < most) {
    corners.sort((a, b) => a.cost - b.cost)
    const [best, last] = [corners[0]!, corners.at(-1)!]
    const spread = Math.max(...start.map((_, i) => Math.abs(last.at[i]! - best.at[i]!) / size[i]!))
    if (last.cost - best.cost < 0.01 && spread < 0.02) break
    const middle = start.map((_, i) => corners.slice(0, -1).reduce((sum, c) => sum + c.at[i]!, 0) / start.length)
    const along = (reach: number) => corner(middle.map((m, i) => m + reach * (last.at[i]! - m)))
    const reflected = along(-1)
    if (reflected.cost < best.cost) {
      const stretched = along(-2)
      corners[corners.length - 1] = stretched.cost < reflected.cost ? stretched : reflected
    } else if (reflected.cost < corners.at(-2)!.cost) corners[corners.length - 1] = reflected
    else {
      const shrunk = reflected.cost < last.cost ? along(-0.5) : along(0.5)
      if (shrunk.cost < Math.min(last.cost, reflected.cost)) corners[corners.length - 1] = shrunk
      else
        for (let i = 1; i < corners.length; i++)
          corners[i] = corner(corners[i]!.at.map((x, k) => best.at[k]! + 0.5 * (x - best.at[k]!)))
    }
    yield
  }
  return corners.reduce((a, b) => (b.cost < a.cost ? b : a))
}
