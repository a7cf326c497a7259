import type { SeriesPoint } from './store/store.js'

/**
 * Joins points that fall into the same interval: counts add, means are weighted by count, extremes stay.
 *
 * @param points in order of time
 * @param width  ms; intervals begin at whole multiples of it since 1970
 * @returns points whose `at` is the start of their interval; intervals without a reading are absent
 */
export const joinByInterval = (points: Iterable<SeriesPoint>, width: number): SeriesPoint[] => {
  const joined: SeriesPoint[] = []
  let open: SeriesPoint | undefined
  for (const point of points) {
    if (point.count <= 0 || !Number.isFinite(point.mean)) continue
    const at = Math.floor(point.at / width) * width
    if (open?.at === at) {
      open.mean += ((point.mean - open.mean) * point.count) / (open.count + point.count)
      open.count += point.count
      open.min = Math.min(open.min, point.min)
      open.max = Math.max(open.max, point.max)
    } else {
      open = { ...point, at }
      joined.push(open)
    }
  }
  return joined
}
