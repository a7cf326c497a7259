/** Correlation of two courses over the intervals in which both are known (not NaN), −1..1; 0 where one does not move. */
export const correlationOf = (a: ArrayLike<number>, b: ArrayLike<number>): number => {
  let [count, ma, mb] = [0, 0, 0]
  for (let i = 0; i < a.length; i++) {
    if (Number.isNaN(a[i]! + b[i]!)) continue
    count += 1
    ma += a[i]!
    mb += b[i]!
  }
  ma /= count
  mb /= count
  let [ab, aa, bb] = [0, 0, 0]
  for (let i = 0; i < a.length; i++) {
    if (Number.isNaN(a[i]! + b[i]!)) continue
    ab += (a[i]! - ma) * (b[i]! - mb)
    aa += (a[i]! - ma) ** 2
    bb += (b[i]! - mb) ** 2
  }
  return aa > 0 && bb > 0 ? ab / Math.sqrt(aa * bb) : 0
}
