/** A stretch of time: from <= t < to, ms. */
export interface Span {
  from: number
  to: number
}
