/**
 * A quantity that follows another first order: dy/dt = (u − y)/τ, solved exactly for an input that is constant within each
 * interval.
 *
 * @param input means over even intervals; where one is not known (NaN) the last known one holds
 * @param timeConstant s; 0 or less: it follows at once
 * @param spacing s; length of an interval
 * @param start what it was before the first interval; its first known input if not given
 * @returns means over the same intervals
 */
export const lagged = (
  input: ArrayLike<number>,
  timeConstant: number,
  spacing: number,
  start?: number,
): Float64Array => {
  const n = input.length
  const result = new Float64Array(n)
  let held = start ?? firstKnown(input)
  let end = held
  const left = timeConstant > 0 ? Math.exp(-spacing / timeConstant) : 0
  const onTheWay = timeConstant > 0 ? ((1 - left) * timeConstant) / spacing : 0
  for (let i = 0; i < n; i++) {
    if (!Number.isNaN(input[i]!)) held = input[i]!
    result[i] = held + (end - held) * onTheWay
    end = held + (end - held) * left
  }
  return result
}

const firstKnown = (input: ArrayLike<number>): number => {
  for (let i = 0; i < input.length; i++) if (!Number.isNaN(input[i]!)) return input[i]!
  return 0
}
