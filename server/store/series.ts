import type { Summary } from './block.js'
import { beginOf, hour } from './keys.js'
import { within } from './readings-of.js'
import type { SensorNumbers } from './sensors.js'
import type { Series, SeriesPoint } from './store.js'
import type { Stored } from './stored.js'
import { minuteWidth, quarterHourWidth } from './summaries.js'

interface Level {
  name: Series['level']
  /** in order of time */
  rows: readonly Summary[]
}

/** The hours that lie whole within a span, and the quarter hours before and after them: together all of the span. */
const hoursBetween = (stored: Stored, sensor: number, from: number, to: number): Summary[] => {
  const [first, last] = [Math.ceil(from / hour) * hour, beginOf(to, hour)]
  const before = stored.quarterHours(sensor, Math.ceil(from / quarterHourWidth) * quarterHourWidth, first)
  return [...before, ...stored.hours(sensor, first, last), ...stored.quarterHours(sensor, last, to)]
}

/** true when `coarse`, whose rows are `width` ms, reaches further back within the span than `fine` does */
const lacksBeginning = (fine: Level, coarse: Level, width: number): boolean => {
  const began = coarse.rows[0]?.[0]
  if (began === undefined) return false
  const begins = fine.rows[0]?.[0]
  return begins === undefined || begins >= began + width
}

const singles = (stored: Stored, sensor: number, begin: number, from: number, to: number): Summary[] => {
  const { at, value } = within(stored.readings(sensor, begin), from, to)
  return Array.from(at, (time, index) => [time, 1, value[index]!, value[index]!, value[index]!])
}

const point = ([at, count, sum, min, max]: Summary): SeriesPoint => ({
  at,
  count,
  mean: count === 1 ? sum : sum / count,
  min,
  max,
})

/**
 * Fewer points from many, each the summary of neighbours in time, none bridging a long gap.
 *
 * @param rows in order of time
 * @param points at least this many are left
 * @returns the rows as they are up to 4 × points of them; otherwise between points and 3 × points + 1
 */
export const merge = (rows: readonly Summary[], points: number): SeriesPoint[] => {
  if (rows.length <= 4 * points) return rows.map(point)
  const together = Math.ceil(rows.length / (2 * points))
  // at most one group in each of these spans ends early, so that the bound holds
  const longest = (2 * together * (rows.at(-1)![0] - rows[0]![0])) / rows.length
  const merged: SeriesPoint[] = []
  let group: Summary | undefined
  let size = 0
  for (const row of rows) {
    if (group && size < together && row[0] - group[0] <= longest) {
      group[1] += row[1]
      group[2] += row[2]
      if (row[3] < group[3]) group[3] = row[3]
      if (row[4] > group[4]) group[4] = row[4]
      size += 1
      continue
    }
    if (group) merged.push(point(group))
    group = [...row]
    size = 1
  }
  if (group) merged.push(point(group))
  return merged
}

/** a chart asks for one point a pixel; more than this is no chart */
const mostPoints = 20_000

type SeriesReader = (sensor: string, from: number, to: number, points: number) => Series

/**
 * Reads one sensor's history at the level that suits a chart `points` pixels wide.
 *
 * The coarsest level with at least `points` rows is taken. When none has as many, single readings are given, unless
 * retention has deleted some of them: then the finest level that covers the whole span. Whatever the span, no more than
 * 4 × points come back; and where readings come so densely that even reading them would be slow, minutes answer.
 */
export const seriesReader = (stored: Stored, sensors: SensorNumbers): SeriesReader => {
  const choose = (sensor: number, from: number, to: number, points: number): Level => {
    if (to - from >= points * hour) {
      const rows = hoursBetween(stored, sensor, from, to)
      if (rows.length >= points) return { name: 'hour', rows }
    }
    const inSpan = ([at]: Summary) => at >= from && at < to
    // quarter hours are kept longest, so they tell which hours have anything
    const around = stored.quarterHours(sensor, beginOf(from, quarterHourWidth), to)
    const quarterHours: Level = { name: 'quarter hour', rows: around.filter(inSpan) }
    if (quarterHours.rows.length >= points) return quarterHours
    const hours = [...new Set(around.map(([at]) => beginOf(at, hour)))]
    const minutes: Level = {
      name: 'minute',
      rows: hours.flatMap(begin => stored.minutes(sensor, begin)).filter(inSpan),
    }
    if (minutes.rows.length >= points) return minutes
    if (lacksBeginning(minutes, quarterHours, quarterHourWidth)) return quarterHours
    const count = minutes.rows.reduce((sum, row) => sum + row[1], 0)
    if (count >= Math.max(64 * points, 20_000)) return minutes
    const readings: Level = { name: 'reading', rows: hours.flatMap(begin => singles(stored, sensor, begin, from, to)) }
    return lacksBeginning(readings, minutes, minuteWidth) ? minutes : readings
  }

  return (sensor, from, to, points) => {
    const number = sensors.find(sensor)
    if (number === undefined || !(to > from)) return { level: 'reading', points: [] }
    const wanted = Math.min(Math.max(Math.floor(points) || 1, 1), mostPoints)
    const chosen = choose(number, Math.max(from, 0), Math.min(to, Number.MAX_SAFE_INTEGER), wanted)
    return { level: chosen.name, points: merge(chosen.rows, wanted) }
  }
}
