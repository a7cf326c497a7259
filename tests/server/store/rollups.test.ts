import { join } from 'node:path'
import Database from 'better-sqlite3'
import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import type { Reading } from '../../../server/ingest/reading.js'
import { openStore } from '../../../server/store/sqlite.js'
import { temporaryFolder } from '../../temporary-folder.js'

interface Row {
  sensor: string
  at: number
  count: number
  sum: number
  min: number
  max: number
}

/** the kept summaries, and the same computed anew from the readings by SQL */
const summaries = (folder: string, table: string, width: number): { kept: Row[]; anew: Row[] } => {
  const db = new Database(join(folder, 'quiet-iron.db'), { readonly: true })
  const kept = db
    .prepare<[], Row>(
      `SELECT name AS sensor, at, count, sum, min, max FROM ${table} JOIN sensors ON id = sensor ORDER BY name, at`,
    )
    .all()
  const anew = db
    .prepare<[], Row>(
      `SELECT name AS sensor, at - at % ${width} AS at, count(*) AS count, sum(value) AS sum, min(value) AS min,
       max(value) AS max FROM readings JOIN sensors ON id = sensor GROUP BY 1, 2 ORDER BY 1, 2`,
    )
    .all()
  db.close()
  return { kept, anew }
}

const hour = 3_600_000
const start = Date.UTC(2024, 0, 15, 6)

// times crowd together, so that duplicates and shared minutes happen often
const arbitraryReading: fc.Arbitrary<Reading> = fc.record({
  sensor: fc.constantFrom('a', 'b', 'c'),
  at: fc.oneof(
    fc.integer({ min: 0, max: 40 }).map(step => start + step * 7_500),
    fc.integer({ min: start - hour, max: start + hour }),
  ),
  value: fc.double({ min: -300, max: 10_000, noNaN: true }),
  receivedAt: fc.integer({ min: start, max: start + 2 * hour }),
})

describe('rollups', () => {
  test('equal what the readings give when computed anew, with late and repeated readings in any grouping', () => {
    fc.assert(
      fc.property(fc.array(fc.array(arbitraryReading, { maxLength: 60 }), { maxLength: 8 }), groups => {
        const folder = temporaryFolder()
        const store = openStore(folder)
        let fresh = 0
        for (const group of groups) fresh += store.append(group).length
        // everything a second time, as after a broken connection
        for (const group of groups) expect(store.append(group)).toEqual([])
        expect([...store.readings(0, Number.POSITIVE_INFINITY)]).toHaveLength(fresh)
        for (const [table, width] of [
          ['minutes', 60_000],
          ['quarter_hours', 900_000],
        ] as const) {
          const { kept, anew } = summaries(folder, table, width)
          expect(kept.map(({ sum, ...exact }) => exact)).toEqual(anew.map(({ sum, ...exact }) => exact))
          kept.forEach(({ sum, count }, index) => {
            // the order of adding differs: rounding only
            expect(Math.abs(sum - anew[index]!.sum)).toBeLessThanOrEqual(1e-9 * count)
          })
        }
        store.close()
      }),
      { numRuns: 60, seed: 20 },
    )
  }, 60_000)

  test('a group that fails leaves neither readings nor summaries', () => {
    const folder = temporaryFolder()
    const store = openStore(folder)
    store.append([{ sensor: 'a', at: start, value: 20, receivedAt: start }])
    const other = new Database(join(folder, 'quiet-iron.db'))
    other.exec("CREATE TRIGGER fail BEFORE INSERT ON quarter_hours BEGIN SELECT RAISE(ABORT, 'no room'); END")
    const more = [
      { sensor: 'a', at: start + 1000, value: 21, receivedAt: start },
      { sensor: 'new', at: start + 1000, value: 21, receivedAt: start },
    ]
    expect(() => store.append(more)).toThrow('no room')
    expect([...store.readings(0, Number.POSITIVE_INFINITY)]).toHaveLength(1)
    expect(summaries(folder, 'minutes', 60_000).kept).toHaveLength(1)
    other.exec('DROP TRIGGER fail')
    other.close()
    // the sensor that was new in the failed group is numbered properly the second time
    expect(store.append(more)).toEqual(more)
    expect(store.latest().map(r => r.sensor)).toEqual(['a', 'new'])
    store.close()
  })
})
