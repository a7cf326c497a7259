import type { Database } from 'better-sqlite3'
import type { Reading } from '../ingest/reading.js'
import type { RollupWriter } from './rollups.js'
import type { SensorNumbers } from './sensors.js'

/** ms; the latest time that can be stored (the year 10889) */
const latestTime = 2 ** 48

const assertStorable = (reading: Reading): void => {
  const { sensor, at, value, receivedAt } = reading
  if (!Number.isInteger(at) || at < 0 || at > latestTime)
    throw new RangeError(`Reading of ${sensor}: its time must be whole ms since 1970, not ${at}`)
  if (!Number.isFinite(value)) throw new RangeError(`Reading of ${sensor}: its value must be finite, not ${value}`)
  if (!Number.isFinite(receivedAt))
    throw new RangeError(`Reading of ${sensor}: its arrival must be ms since 1970, not ${receivedAt}`)
}

export interface Readings {
  append(readings: readonly Reading[], keptSince: number): Reading[]
  latest(): Reading[]
  between(from: number, to: number): Iterable<Reading>
}

interface Row {
  at: number
  value: number
  delay: number
}

/** rows; what one step of `between` aims to hold in memory */
const stepRows = 50_000
const day = 86_400_000

export const readingTable = (db: Database, sensors: SensorNumbers, rollups: RollupWriter): Readings => {
  const insert = db.prepare<[number, number, number, number]>(
    'INSERT OR IGNORE INTO readings (sensor, at, value, delay) VALUES (?, ?, ?, ?)',
  )
  const newest = db.prepare<[number], Row>(
    'SELECT at, value, delay FROM readings WHERE sensor = ? ORDER BY at DESC LIMIT 1',
  )
  const range = db.prepare<[number, number, number], Row>(
    'SELECT at, value, delay FROM readings WHERE sensor = ? AND at >= ? AND at < ? ORDER BY at',
  )
  const first = db
    .prepare<[number, number, number], number>(
      'SELECT at FROM readings WHERE sensor = ? AND at >= ? AND at < ? ORDER BY at LIMIT 1',
    )
    .pluck()
  const last = db
    .prepare<[number, number, number], number>(
      'SELECT at FROM readings WHERE sensor = ? AND at >= ? AND at < ? ORDER BY at DESC LIMIT 1',
    )
    .pluck()

  const store = db.transaction((readings: readonly Reading[], keptSince: number): Reading[] => {
    const group = rollups.begin()
    const added: Reading[] = []
    for (const reading of readings) {
      const { at, value } = reading
      // a duplicate of a reading that retention has deleted could not be told from a new one
      if (at < keptSince) continue
      const sensor = sensors.number(reading.sensor)
      if (insert.run(sensor, at, value, Math.round(reading.receivedAt - at)).changes === 0) continue
      group.add(sensor, at, value)
      added.push(reading)
    }
    group.write()
    return added
  })

  const rowsBetween = (from: number, to: number): Reading[] => {
    const found: Reading[] = []
    for (const [sensor, number] of sensors.all())
      for (const { at, value, delay } of range.all(number, from, to))
        found.push({ sensor, at, value, receivedAt: at + delay })
    return found.sort((a, b) => a.at - b.at)
  }

  const extremes = (from: number, to: number): { start: number; end: number } | null => {
    let start = Number.POSITIVE_INFINITY
    let end = Number.NEGATIVE_INFINITY
    for (const number of sensors.all().values()) {
      const earliest = first.get(number, from, to)
      if (earliest === undefined) continue
      start = Math.min(start, earliest)
      end = Math.max(end, last.get(number, from, to) ?? earliest)
    }
    return end < start ? null : { start, end }
  }

  return {
    append(readings, keptSince) {
      for (const reading of readings) assertStorable(reading)
      if (readings.length === 0) return []
      sensors.begin()
      try {
        return store.immediate(readings, keptSince)
      } catch (error) {
        sensors.forget()
        throw error
      }
    },
    latest() {
      const found: Reading[] = []
      for (const [sensor, number] of sensors.all()) {
        const row = newest.get(number)
        if (row) found.push({ sensor, at: row.at, value: row.value, receivedAt: row.at + row.delay })
      }
      return found
    },
    // Read step by step, no statement is left open in between: readings may be stored while a caller works through.
    *between(from, to) {
      const whole = extremes(from, to)
      if (!whole) return
      let width = 600_000
      for (let start = whole.start; start <= whole.end; ) {
        const end = Math.min(start + width, whole.end + 1)
        const rows = rowsBetween(start, end)
        yield* rows
        if (rows.length > 2 * stepRows) width = Math.max(1, width / 2)
        else if (rows.length < stepRows / 2) width = Math.min(30 * day, width * 2)
        start = end
      }
    },
  }
}
