import type { SensorFault } from '../reason.js'

// Judgement, no source, held against the healthy demo shop, in which no sensor may be suspected.
/** s; over which stillness and drift are judged */
export const oddsWindow = 7200
/**
 * s; a sensor that has not wandered anew for so long is believed again: a doubt has an end, and what is left is an
 * offset
 */
export const oddsForgotten = 12 * 3600
/** K; neighbours that move less within `oddsWindow` are still */
const still = 0.25
/** K; how much the sensor must move in each half of it, and in all */
const drifted = { half: 0.3, whole: 0.8 }
/**
 * What a drifting sensor moves in the second half, at least, as a part of the first: a machine part that its own heat
 * warms slows down as it settles (first order: e^(−1 h/τ) from half to half), a drift does not.
 */
const unslowed = 0.85

/**
 * At odds with its siblings when all is still: it wanders steadily while none of them moves.
 *
 * @param firstHalf, secondHalf what it moved in either half of `oddsWindow`, K
 * @param neighbourMoves what each neighbour moved at most within it, K; the air among them
 * @returns null where nothing speaks against it, or fewer than two neighbours are known
 */
export const atOdds = (
  firstHalf: number,
  secondHalf: number,
  neighbourMoves: readonly number[],
): SensorFault | null => {
  if (neighbourMoves.length < 2 || neighbourMoves.some(move => !(Math.abs(move) <= still))) return null
  const steady = firstHalf * secondHalf > 0 && Math.min(Math.abs(firstHalf), Math.abs(secondHalf)) >= drifted.half
  const whole = Math.abs(firstHalf + secondHalf)
  if (!steady || Math.abs(secondHalf) < unslowed * Math.abs(firstHalf) || whole < drifted.whole) return null
  return { kind: 'at odds', wandered: whole, within: oddsWindow }
}
