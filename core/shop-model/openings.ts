import type { Draw } from '../statistics/drawing.js'
import { median } from '../statistics/median.js'
import { quantile } from '../statistics/quantile.js'
import type { Openings } from './answer.js'
import type { Courses } from './courses.js'
import type { Drive } from './drives.js'

/** min before and after an opening that are looked at */
const before = 30
const after = 180
/** openings; of fewer no mean is worth showing. Judgement */
export const fewestOpenings = 5
/** drawings that the band of no effect comes from */
const drawings = 400
/** s; an effect lasts at least so long outside the band */
const lasting = 900
/** h; moments without an opening are taken at most so far from the hour of one, on another day of its kind */
const hourApart = 1

/**
 * When a source was opened or began to run, and for how long, in intervals of the course.
 *
 * @param begin interval from which they count
 */
export const openingsOf = ({ active }: Pick<Drive, 'active'>, begin: number): { at: number; lasted: number }[] => {
  const found: { at: number; lasted: number }[] = []
  for (let i = Math.max(1, begin); i < active.length; i++) {
    if (!(active[i]! > 0) || active[i - 1]! > 0) continue
    let sum = 0
    for (let k = i; k < active.length && active[k]! > 0; k++) sum += active[k]!
    found.push({ at: i, lasted: sum })
  }
  return found
}

/**
 * Mean response of courses to the openings of a door, beside the band that as many moments without an opening give: at about the
 * same hours of other days of the same kind, so that what every day brings is in the band.
 *
 * @param courses K or m by name; of the same intervals as the drive
 * @param begin index of the first interval that counts
 * @returns null where there are too few openings
 */
export const meanResponse = (
  { hour, works, spacing, from }: Courses,
  drive: Drive,
  courses: { of: 'air' | 'growth'; values: Float64Array }[],
  begin: number,
  draw: Draw,
): Openings | null => {
  const found = openingsOf(drive, begin)
  const length = drive.active.length
  const step = spacing / 60
  const [back, ahead] = [Math.round(before / step), Math.round(after / step)]
  const able = found.filter(({ at }) => at - back >= 1 && at + ahead < length)
  if (able.length < fewestOpenings) return null
  const opened = able.map(({ at }) => at)
  const minutes = Array.from({ length: back + ahead + 1 }, (_, k) => (k - back) * step)
  // as many moments of about the same hour, on days of the same kind
  const like = opened.map(at => {
    const moments: number[] = []
    for (let i = Math.max(begin, back + 1); i + ahead < length; i++) {
      const apart = Math.abs(hour[i]! - hour[at]!)
      if (works[i] === works[at] && Math.min(apart, 24 - apart) <= hourApart) moments.push(i)
    }
    return moments
  })
  const meanOver = (values: Float64Array, moments: readonly number[]): number[] =>
    minutes.map((_, k) => {
      let [count, sum] = [0, 0]
      for (const at of moments) {
        const change = values[at - back + k]! - values[at - 1]!
        if (Number.isNaN(change)) continue
        count += 1
        sum += change
      }
      return count === 0 ? Number.NaN : sum / count
    })
  return {
    source: drive.source.id,
    name: drive.source.name,
    count: able.length,
    from: from + begin * spacing * 1000,
    to: from + length * spacing * 1000,
    lasted: median(able.map(({ lasted }) => lasted * spacing)),
    minutes,
    responses: courses.flatMap(({ of, values }) => {
      const mean = meanOver(values, opened)
      if (mean.some(Number.isNaN)) return []
      const others = () => like.map(moments => moments[draw(moments.length)]!)
      const drawn = Array.from({ length: drawings }, () => meanOver(values, others()))
      const band = (part: number) =>
        minutes.map((_, k) => quantile(drawn.map(course => course[k]!).filter(Number.isFinite), part))
      const [low, middle, high] = [band(0.05), band(0.5), band(0.95)]
      return [{ of, mean, low, high, ...effectOf(minutes, mean, low, middle, high) }]
    }),
  }
}

const effectOf = (
  minutes: readonly number[],
  mean: readonly number[],
  low: readonly number[],
  middle: readonly number[],
  high: readonly number[],
): { effect: boolean; size: number; delay: number | null } => {
  const step = minutes[1]! - minutes[0]!
  const needed = Math.ceil(lasting / 60 / step)
  let [first, run] = [-1, 0]
  let size = 0
  minutes.forEach((minute, k) => {
    if (minute < 0) return
    const outside = mean[k]! < low[k]! || mean[k]! > high[k]!
    run = outside ? run + 1 : 0
    if (run >= needed && first < 0) first = k - needed + 1
    const apart = mean[k]! - middle[k]!
    if (Math.abs(apart) > Math.abs(size)) size = apart
  })
  return { effect: first >= 0, size, delay: first < 0 ? null : minutes[first]! * 60 }
}
