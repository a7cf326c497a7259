/** Whole numbers from 0 up to, not including, `below`; the same ones every time. */
export type Draw = (below: number) => number

/**
 * Draws for resampling: the same data always give the same answer.
 *
 * @param seed whole, above 0
 * @see Park, S. K. & Miller, K. W. (1988), Comm. ACM 31, 1192: the minimal standard generator, multiplier 48271
 */
export const drawing = (seed: number): Draw => {
  let state = seed
  return below => {
    state = (state * 48_271) % 2_147_483_647
    return state % below
  }
}

/** The values in another order, every order alike likely. */
export const shuffled = <T>(values: ArrayLike<T>, draw: Draw): T[] => {
  const mixed = Array.from(values)
  for (let i = mixed.length - 1; i > 0; i--) {
    const j = draw(i + 1)
    const held = mixed[i]!
    mixed[i] = mixed[j]!
    mixed[j] = held
  }
  return mixed
}
