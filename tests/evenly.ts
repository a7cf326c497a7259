import fc from 'fast-check'

const parts = 2 ** 30

/**
 * Numbers of a range, drawn evenly, its ends among them. `fc.double` draws evenly among the doubles that there are: where a range
 * holds 0, nearly all of those lie so close to it that they say nothing of temperatures or lengths.
 */
export const evenly = (min: number, max: number): fc.Arbitrary<number> =>
  fc.integer({ min: 0, max: parts }).map(part => min + ((max - min) * part) / parts)
