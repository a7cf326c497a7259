import { join } from 'node:path'
import Database from 'better-sqlite3'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { Reading } from '../../../server/ingest/reading.js'
import { merge } from '../../../server/store/series.js'
import { openStore, type SqliteStore } from '../../../server/store/sqlite.js'
import { temporaryFolder } from '../../temporary-folder.js'
import { sealed } from './sealed.js'

const start = Date.UTC(2024, 0, 15, 6)
const minute = 60_000
const hour = 3_600_000
const day = 86_400_000

const filled = (span: number, interval: number, settings = {}): SqliteStore => {
  const store = openStore(temporaryFolder(), settings)
  const group: Reading[] = []
  for (let at = start; at < start + span; at += interval)
    group.push({ sensor: 'a', at, value: 20 + Math.sin((at - start) / hour), receivedAt: at })
  store.append(group)
  return store
}

const totals = (points: readonly { count: number; mean: number; min: number; max: number }[]) => ({
  count: points.reduce((sum, { count }) => sum + count, 0),
  sum: points.reduce((sum, { count, mean }) => sum + count * mean, 0),
  min: Math.min(...points.map(({ min }) => min)),
  max: Math.max(...points.map(({ max }) => max)),
})

describe('series', () => {
  it('comes from the coarsest level that gives a point a pixel', () => {
    const store = filled(2 * day, 10_000)
    const level = (span: number, points: number) => store.series('a', start, start + span, points).level
    expect(level(2 * day, 48)).toBe('hour')
    expect(level(2 * day, 49)).toBe('quarter hour')
    expect(level(2 * day, 192)).toBe('quarter hour')
    expect(level(2 * day, 193)).toBe('minute')
    expect(level(hour, 60)).toBe('minute')
    expect(level(hour, 61)).toBe('reading')
    expect(level(10 * minute, 1000)).toBe('reading')
    store.close()
  })

  it.each([
    [2 * day, 12],
    [2 * day, 40],
    [2 * day, 192],
    [2 * day, 500],
    [day, 1000],
    [3 * hour, 200],
    [hour, 50],
  ])('over %i ms gives %i to 4 times as many points, and loses no reading', (span, points) => {
    const store = filled(2 * day, 10_000)
    const series = store.series('a', start, start + span, points)
    expect(series.points.length).toBeGreaterThanOrEqual(points)
    expect(series.points.length).toBeLessThanOrEqual(4 * points)
    const values = [...store.readings(start, start + span)].flat().map(r => r.value)
    const total = totals(series.points)
    expect(total.count).toBe(values.length)
    expect(total.sum).toBeCloseTo(
      values.reduce((a, b) => a + b, 0),
      6,
    )
    expect(total.min).toBe(Math.min(...values))
    expect(total.max).toBe(Math.max(...values))
    store.close()
  })

  it('by the hour takes in the quarter hours at both ends, wherever the readings lie', () => {
    const folder = temporaryFolder()
    let store = openStore(folder)
    const readings = Array.from({ length: 5 * 1440 }, (_, index): Reading => {
      const at = start + index * minute
      return { sensor: 'a', at, value: (index % 97) / 16, receivedAt: at }
    })
    const [from, to] = [start + 40 * minute, start + 4 * day + 100 * minute]
    const within = readings.filter(({ at }) => at >= start + 45 * minute && at < start + 4 * day + 105 * minute)
    const values = within.map(({ value }) => value)
    const check = () => {
      const series = store.series('a', from, to, 50)
      expect(series.level).toBe('hour')
      expect(series.points.map(({ at }) => (at - start) / minute)).toEqual(
        [45, ...Array.from({ length: 96 }, (_, index) => 60 * (index + 1)), 97 * 60, 97 * 60 + 15, 97 * 60 + 30].slice(
          0,
          series.points.length,
        ),
      )
      const total = totals(series.points)
      expect(total).toMatchObject({ count: values.length, min: Math.min(...values), max: Math.max(...values) })
      expect(total.sum).toBeCloseTo(
        values.reduce((a, b) => a + b, 0),
        6,
      )
    }
    store.append(readings.slice(0, 3000))
    sealed(store)
    // late ones into sealed hours, and the rest
    store.append([...readings.slice(5000, 6000), ...readings.slice(3000, 5000)])
    store.append(readings.slice(6000))
    check()
    // in the middle of a round
    for (let slice = 0; slice < 3; slice += 1) store.sealSome(2 ** 48)
    check()
    sealed(store)
    check()
    store.close()
    // as a version before the hours left it
    const db = new Database(join(folder, 'quiet-iron.db'))
    db.exec('UPDATE quarter_hour_blocks SET hours = NULL')
    db.close()
    store = openStore(folder)
    check()
    store.close()
  })

  it('gives single readings as they are when there are few', () => {
    const store = filled(hour, 10_000)
    expect(store.series('a', start, start + 30_000, 1000)).toEqual({
      level: 'reading',
      points: [0, 1, 2].map(index => {
        const value = 20 + Math.sin((index * 10_000) / hour)
        return { at: start + index * 10_000, count: 1, mean: value, min: value, max: value }
      }),
    })
    store.close()
  })

  it('of ten readings a second stays within the bound', () => {
    const store = filled(hour, 100)
    const series = store.series('a', start, start + 50 * minute, 100)
    expect(series.level).toBe('minute')
    expect(series.points).toHaveLength(50)
    const dense = store.series('a', start, start + 10 * minute, 1000)
    expect(dense.level).toBe('reading')
    expect(dense.points.length).toBeGreaterThanOrEqual(1000)
    expect(dense.points.length).toBeLessThanOrEqual(4000)
    store.close()
  })

  it('shows what is left of the history after retention has taken the readings', () => {
    const store = filled(3 * day, 60_000, { retention: { readingDays: 1, minuteDays: 2 } })
    store.pruneSome(start + 3 * day, Number.POSITIVE_INFINITY)
    const of = (from: number, to: number) => store.series('a', start + from, start + to, 1000)
    expect(of(2 * day, 2 * day + hour)).toMatchObject({ level: 'reading', points: { length: 60 } })
    expect(of(day, day + hour)).toMatchObject({ level: 'minute', points: { length: 60 } })
    expect(of(0, hour)).toMatchObject({ level: 'quarter hour', points: { length: 4 } })
    // across both borders the level that covers the whole answers
    expect(of(2 * day - hour, 2 * day + hour)).toMatchObject({ level: 'minute', points: { length: 120 } })
    expect(of(day - hour, day + hour)).toMatchObject({ level: 'quarter hour', points: { length: 8 } })
    store.close()
  })

  it('of a sensor that is not known, or of no time, is empty', () => {
    const store = filled(hour, 10_000)
    expect(store.series('nobody', start, start + hour, 100).points).toEqual([])
    expect(store.series('a', start, start, 100).points).toEqual([])
    expect(store.series('a', start, start + hour, Number.NaN).points.length).toBeLessThanOrEqual(4)
    expect(store.series('a', start, start + hour, Number.POSITIVE_INFINITY).points).toHaveLength(360)
    store.close()
  })
})

describe('merging neighbours', () => {
  const arbitraryRows = fc
    .array(
      fc.record({
        // mostly regular, with long gaps in between
        step: fc.oneof({ weight: 20, arbitrary: fc.integer({ min: 1, max: 20 }) }, fc.integer({ min: 1, max: 1e9 })),
        count: fc.integer({ min: 1, max: 90 }),
        mean: fc.double({ min: -50, max: 50, noNaN: true }),
        spread: fc.double({ min: 0, max: 5, noNaN: true }),
      }),
      { maxLength: 600 },
    )
    .map(steps => {
      let at = 0
      return steps.map(({ step, count, mean, spread }): [number, number, number, number, number] => {
        at += step
        return [at, count, mean * count, mean - spread, mean + spread]
      })
    })

  it('keeps count, sum and extremes, and its bounds', () => {
    fc.assert(
      fc.property(arbitraryRows, fc.integer({ min: 1, max: 100 }), (rows, points) => {
        const merged = merge(rows, points)
        if (rows.length <= 4 * points) expect(merged).toHaveLength(rows.length)
        else {
          expect(merged.length).toBeGreaterThanOrEqual(points)
          expect(merged.length).toBeLessThanOrEqual(3 * points + 1)
        }
        if (rows.length === 0) return
        const total = totals(merged)
        expect(total.count).toBe(rows.reduce((sum, row) => sum + row[1], 0))
        expect(Math.abs(total.sum - rows.reduce((sum, row) => sum + row[2], 0))).toBeLessThan(1e-6)
        expect(total.min).toBe(Math.min(...rows.map(row => row[3])))
        expect(total.max).toBe(Math.max(...rows.map(row => row[4])))
      }),
      { numRuns: 500, seed: 20 },
    )
  })

  it('does not bridge a gap much longer than the usual distance', () => {
    const rows = Array.from({ length: 200 }, (_, index): [number, number, number, number, number] => {
      const at = index < 101 ? index : index + 10_000
      return [at, 1, index < 101 ? 0 : 100, index < 101 ? 0 : 100, index < 101 ? 0 : 100]
    })
    for (const { mean } of merge(rows, 20)) expect([0, 100]).toContain(mean)
  })
})
