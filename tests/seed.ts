import { uniformFloat64 } from 'pure-rand/distribution/uniformFloat64'
import { mersenne } from 'pure-rand/generator/mersenne'

/**
 * The seed of a test's draws, printed with what it is for. The environment variable QUIET_IRON_SEED sets another one.
 *
 * @throws Error when that variable is not a whole number
 */
export const seedFor = (purpose: string): number => {
  const given = process.env.QUIET_IRON_SEED ?? '20260114'
  const seed = Number(given)
  if (!Number.isSafeInteger(seed)) throw new Error(`QUIET_IRON_SEED must be a whole number, not "${given}"`)
  console.log(`${purpose}: QUIET_IRON_SEED=${seed}`)
  return seed
}

/** Draws evenly from 0 (included) to 1 (not included), always the same for a seed. */
export const draws = (seed: number): (() => number) => {
  const generator = mersenne(seed)
  return () => uniformFloat64(generator)
}
