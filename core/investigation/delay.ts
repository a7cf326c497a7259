import { drawing } from '../statistics/drawing.js'
import { type Course, filled } from './chance.js'
import { blockIntervals, memoryOf } from './resampling.js'
import { centred, type Pairs, type PredictedPart, shareExplained } from './share-explained.js'

/** 0..1; a delay at which less is explained says nothing. Judgement, no source */
const leastExplained = 0.15
/** ms; the longest delay that is looked at: a machine that takes longer is seldom seen to move within a shift */
const longest = 12 * 3_600_000
/** ms; delays up to this are looked at in any case */
const shortest = 3_600_000

/**
 * The delay at which a course explains most of values by a straight line.
 *
 * @param at      ms
 * @param slowest s; time constant of the slowest body that answers the course; null where it is not known
 * @returns s, and the share of the variance it explains; null where no delay explains anything to speak of, or where a
 *   longer one than any body has would explain more
 */
export const bestDelay = (
  at: readonly number[],
  values: readonly number[],
  { from, step, values: written }: Course,
  slowest: number | null,
): { delay: number; explained: number } | null => {
  const course = filled(written)
  const n = at.length
  const mean = values.reduce((sum, value) => sum + value / n, 0)
  const squares = values.reduce((sum, value) => sum + (value - mean) ** 2, 0)
  // a body of first order is never later than its time constant: what is, is the rhythm of the day
  const most = Math.min(longest, Math.max(shortest, slowest === null ? longest : 1000 * slowest))
  let best: { delay: number; explained: number } | null = null
  const told = () => (best && best.explained >= leastExplained && best.delay * 1000 <= most ? best : null)
  // one step more than may be told: what is still rising there is none
  for (let delay = 0; delay < most + 2 * step; delay += step) {
    let [sum, own, together] = [0, 0, 0]
    const found = new Float64Array(n)
    for (let i = 0; i < n; i++) {
      const value = course[Math.round((at[i]! - delay - from) / step)]
      if (value === undefined) return told()
      found[i] = value
      sum += value / n
    }
    for (let i = 0; i < n; i++) {
      own += (found[i]! - sum) ** 2
      together += (found[i]! - sum) * (values[i]! - mean)
    }
    const explained = together ** 2 / (own * squares)
    if (explained > (best?.explained ?? 0)) best = { delay: delay / 1000, explained }
  }
  return told()
}

const rounds = 999
/** 0..1; the clock is asked about only where moving the times leaves at most this part of what is unexplained as written. Judgement */
const mostLeft = 0.7
/** 0..1; and where at least this is explained then */
const leastMoved = 0.3
/** probability of the interval of the gain: one clock in a hundred is asked about for nothing */
const sure = 0.98

/**
 * Whether the cuts go much better with the prediction when their times are moved, as when a clock is on summer time.
 *
 * @param moved for each offset, s, what heat predicts of each part then, m; NaN where it is not known
 * @returns the offset that goes best; null where none is much better, chance allowed for
 */
export const clockOffset = (
  parts: readonly PredictedPart[],
  moved: readonly { offset: number; predicted: readonly number[] }[],
): { offset: number; asWritten: number; moved: number } | null => {
  const asWritten = shareExplained(parts)
  const tried = moved
    .filter(({ predicted }) => predicted.every(Number.isFinite))
    .map(({ offset, predicted }) => {
      const there = parts.map((part, i) => ({ ...part, predicted: predicted[i]! }))
      return { offset, there, share: shareExplained(there) }
    })
    .sort((a, b) => b.share - a.share)
  const [best] = tried
  if (!best || !(1 - best.share <= mostLeft * (1 - asWritten)) || !(best.share >= leastMoved)) return null
  // both ways of the same parts drawn together: what each leaves, squared, less what the other leaves
  const left = ({ x, y }: Pairs, i: number) => (y[i]! - x[i]!) ** 2
  const [here, there] = [centred(parts), centred(best.there)]
  const gains = Float64Array.from(parts, (_, i) => left(here, i) - left(there, i))
  const block = memoryOf(
    parts.map(({ deviation }) => deviation),
    Math.max(1, Math.floor(parts.length / 3)),
  )
  const [interval] = blockIntervals({ x: gains, y: gains }, [({ y }) => y], block, sure, rounds, drawing(4711))
  return interval!.low > 0 ? { offset: best.offset, asWritten, moved: best.share } : null
}
