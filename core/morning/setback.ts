import { highest, lowest, median, quantile } from '../statistics/index.js'
import type { Course } from './course.js'
import { leastNights } from './usual.js'

/** When the heating (or cooling) was set back and when it came again, as the air tells it; ms. */
interface SeenSetback {
  began: number | null
  /** null: not seen (yet) */
  back: number | null
}

const hour = 3_600_000
const minute = 60_000
// Judgement, no source: what a hall does that is set back, and what weather does to it overnight
/** K; air that moves less than this shows no setback */
const leastDepth = 0.8
/** K; the air must come back by at least this for the heating to count as on again */
const leastRise = 0.5
/** 0..1; or by this part of the setback's depth, where that is more. The setback has begun once the air has fallen by this part */
const partOfDepth = 0.25
/** K/h; a slope that changes by less has other causes */
const leastKink = 0.4
/** ms; how long before the air has come so far the heating may have come on */
const before = 2.5 * hour

/**
 * Least-squares line through points: value at the mean time (°C), that time (ms), slope (K/ms), sum of squares left
 * (K²).
 */
const lineThrough = (at: readonly number[], value: readonly number[], from: number, to: number) => {
  const n = to - from + 1
  let [meanAt, meanValue] = [0, 0]
  for (let i = from; i <= to; i++) {
    meanAt += at[i]! / n
    meanValue += value[i]! / n
  }
  let [tt, tv, vv] = [0, 0, 0]
  for (let i = from; i <= to; i++) {
    const [dt, dv] = [at[i]! - meanAt, value[i]! - meanValue]
    tt += dt * dt
    tv += dt * dv
    vv += dv * dv
  }
  const slope = tt > 0 ? tv / tt : 0
  return { at: meanAt, value: meanValue, slope, left: Math.max(vv - slope * tv, 0) }
}

/**
 * The moment within a stretch at which the slope rises most: where lines through the hour before and the half hour after it
 * meet.
 *
 * @param first, last indices between which it is looked for
 * @returns ms; null where no change of slope is large enough
 */
const kinkIn = (at: readonly number[], value: readonly number[], first: number, last: number): number | null => {
  const step = at[1]! - at[0]!
  const reach = Math.max(2, Math.round(hour / step))
  let best: { kink: number; at: number } | null = null
  for (let k = Math.max(first, 1); k <= last; k++) {
    // the interval in which it happened lies on neither line; a way that begins quickly soon bends
    const ahead = Math.min(k + Math.max(2, Math.round(reach / 2)), at.length - 1)
    if (ahead - k < 2) break
    const one = lineThrough(at, value, Math.max(k - reach, 0), k - 1)
    const other = lineThrough(at, value, k + 1, ahead)
    const kink = (other.slope - one.slope) * hour
    if (kink < leastKink || other.slope <= 0 || (best && best.kink >= kink)) continue
    const meet = (one.value - one.slope * one.at - other.value + other.slope * other.at) / (other.slope - one.slope)
    best = { kink, at: Math.min(Math.max(meet, at[k]! - step), at[k]! + step) }
  }
  return best?.at ?? null
}

const nothing: SeenSetback = { began: null, back: null }

/**
 * When the heating was set back and when it came again, from the air alone: it leaves the level of the evening, and
 * comes back some hours later. The moments are those at which its slope changes most (change points of straight lines)
 * before it has gone, and for the last time come, a quarter of the way. Works for cooling with signs turned round.
 *
 * A heater that cycles at night makes changes of slope too; the last way back alone goes that far and stays.
 *
 * @param course of the air on even intervals, from before the shift's end
 */
export const setbackSeen = (course: Course): SeenSetback => {
  const known = course.value.flatMap((value, i) => (value === null ? [] : [{ at: course.at[i]!, value }]))
  if (known.length < 12) return nothing
  const at = known.map(each => each.at)
  const raw = known.map(each => each.value)
  const evening = median(raw.slice(0, Math.max(1, Math.round(hour / (at[1]! - at[0]!)))))
  const sign = evening - lowest(raw) >= highest(raw) - evening ? 1 : -1
  const value = raw.map(each => sign * each)
  const start = sign * evening
  const depth = start - lowest(value)
  if (depth < leastDepth) return nothing
  const floor = lowest(value)
  const gone = value.findIndex(each => each < start - partOfDepth * depth)
  const fall = value.map(each => -each)
  const began = kinkIn(at, fall, 0, gone)
  const level = floor + Math.max(leastRise, partOfDepth * depth)
  let come = value.length - 1
  if (value[come]! < level) return { began, back: null }
  while (come > 0 && value[come - 1]! >= level) come--
  if (come <= gone) return { began, back: null }
  const first = at.findIndex(each => each >= at[come]! - before)
  return { began, back: kinkIn(at, value, Math.max(first, value.indexOf(floor) - 4), come) }
}

/** A setback with what is usual, ms. */
export interface SetbackTonight extends SeenSetback {
  /** when the heating usually comes back, on this night's clock */
  usualBack: number | null
  /** ms; how much later than that it is on one night of twenty */
  spread: number
}

/**
 * This night's setback beside those of nights of the same kind.
 *
 * @param course of this night
 * @param nights of the others, on the same times; they may go on where this one has not come yet
 * @returns null where neither this night nor three of the others show one
 */
export const setbackOf = (course: Course, nights: readonly (readonly (number | null)[])[]): SetbackTonight | null => {
  const tonight = setbackSeen(course)
  const backs = nights.flatMap(value => setbackSeen({ at: course.at, value }).back ?? [])
  if (tonight.began === null && tonight.back === null && backs.length < leastNights) return null
  if (backs.length < leastNights) return { ...tonight, usualBack: null, spread: 0 }
  const usualBack = Math.round(median(backs) / minute) * minute
  return { ...tonight, usualBack, spread: quantile(backs, 0.95) - usualBack }
}
