import type { Database } from 'better-sqlite3'
import type { SensorNumbers } from './sensors.js'
import type { Series, SeriesPoint } from './store.js'

interface Level {
  name: Series['level']
  /** ms; 0 for single readings */
  width: number
  countUpTo(sensor: number, from: number, to: number, most: number): number
  first(sensor: number, from: number, to: number): number | undefined
  rows(sensor: number, from: number, to: number): Row[]
}
/** at, count, sum, min, max */
type Row = [number, number, number, number, number]

const level = (db: Database, name: Series['level'], table: string, width: number, columns: string): Level => {
  const where = `FROM ${table} WHERE sensor = ? AND at >= ? AND at < ?`
  const count = db
    .prepare<[number, number, number, number], number>(`SELECT count(*) FROM (SELECT 1 ${where} LIMIT ?)`)
    .pluck()
  const first = db.prepare<[number, number, number], number>(`SELECT at ${where} ORDER BY at LIMIT 1`).pluck()
  const rows = db.prepare<[number, number, number], Row>(`SELECT at, ${columns} ${where} ORDER BY at`).raw()
  return {
    name,
    width,
    countUpTo: (sensor, from, to, most) => count.get(sensor, from, to, most) ?? 0,
    first: (sensor, from, to) => first.get(sensor, from, to),
    rows: (sensor, from, to) => rows.all(sensor, from, to),
  }
}

const point = ([at, count, sum, min, max]: Row): SeriesPoint => ({
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
export const merge = (rows: readonly Row[], points: number): SeriesPoint[] => {
  if (rows.length <= 4 * points) return rows.map(point)
  const together = Math.ceil(rows.length / (2 * points))
  // at most one group in each of these spans ends early, so that the bound holds
  const longest = (2 * together * (rows.at(-1)![0] - rows[0]![0])) / rows.length
  const merged: SeriesPoint[] = []
  let group: Row | undefined
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

export type SeriesReader = (sensor: string, from: number, to: number, points: number) => Series

/**
 * Reads one sensor's history at the level that suits a chart `points` pixels wide.
 *
 * The coarsest level with at least `points` rows is taken. When none has as many, single readings are given, unless
 * retention has deleted some of them: then the finest level that covers the whole span. Whatever the span, no more than
 * 4 × points come back; and where readings come so densely that even reading them would be slow, minutes answer.
 */
export const seriesReader = (db: Database, sensors: SensorNumbers): SeriesReader => {
  const summary = 'count, sum, min, max'
  const readings = level(db, 'reading', 'readings', 0, '1, value, value, value')
  const minutes = level(db, 'minute', 'minutes', 60_000, summary)
  const quarterHours = level(db, 'quarter hour', 'quarter_hours', 900_000, summary)

  /** true when `coarse` reaches further back within the span than `fine` does */
  const lacksBeginning = (fine: Level, coarse: Level, sensor: number, from: number, to: number): boolean => {
    const began = coarse.first(sensor, from, to)
    if (began === undefined) return false
    const begins = fine.first(sensor, from, to)
    return begins === undefined || begins >= began + coarse.width
  }

  const choose = (sensor: number, from: number, to: number, points: number): Level => {
    for (const candidate of [quarterHours, minutes])
      if (candidate.countUpTo(sensor, from, to, points) >= points) return candidate
    if (lacksBeginning(minutes, quarterHours, sensor, from, to)) return quarterHours
    if (lacksBeginning(readings, minutes, sensor, from, to)) return minutes
    const tooMany = Math.max(64 * points, 20_000)
    return readings.countUpTo(sensor, from, to, tooMany) >= tooMany ? minutes : readings
  }

  return (sensor, from, to, points) => {
    const number = sensors.find(sensor)
    if (number === undefined || !(to > from)) return { level: 'reading', points: [] }
    const wanted = Math.min(Math.max(Math.floor(points) || 1, 1), mostPoints)
    const chosen = choose(number, from, to, wanted)
    return { level: chosen.name, points: merge(chosen.rows(number, from, to), wanted) }
  }
}
