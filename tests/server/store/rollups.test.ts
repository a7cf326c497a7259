import { join } from 'node:path'
import Database from 'better-sqlite3'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { Reading } from '../../../server/ingest/reading.js'
import { openStore, type SqliteStore } from '../../../server/store/sqlite.js'
import { temporaryFolder } from '../../temporary-folder.js'
import { sealed, summaries, widths } from './sealed.js'

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

const minutesOf = (store: SqliteStore) => store.series('a', start, start + 60_000, 1).points.map(({ count }) => count)

describe('rollups', () => {
  it('equal what the readings give when computed anew, with late and repeated readings in any grouping', () => {
    fc.assert(
      fc.property(fc.array(fc.array(arbitraryReading, { maxLength: 60 }), { maxLength: 8 }), groups => {
        const folder = temporaryFolder()
        const store = openStore(folder)
        let fresh = 0
        for (const [index, group] of groups.entries()) {
          fresh += store.append(group).length
          if (index % 3 === 2) sealed(store)
        }
        // everything a second time, as after a broken connection
        for (const group of groups) expect(store.append(group)).toEqual([])
        expect([...store.readings(0, Number.POSITIVE_INFINITY)].flat()).toHaveLength(fresh)
        for (const width of widths) {
          const { kept, anew } = summaries(store, folder, width, [start - 2 * hour, start + 2 * hour])
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
  })

  it('a group that fails leaves neither readings nor summaries', () => {
    const folder = temporaryFolder()
    const store = openStore(folder)
    store.append([{ sensor: 'a', at: start, value: 20, receivedAt: start }])
    const other = new Database(join(folder, 'quiet-iron.db'))
    other.exec("CREATE TRIGGER fail BEFORE INSERT ON journal BEGIN SELECT RAISE(ABORT, 'no room'); END")
    const more = [
      { sensor: 'a', at: start + 1000, value: 21, receivedAt: start },
      { sensor: 'new', at: start + 1000, value: 21, receivedAt: start },
    ]
    expect(() => store.append(more)).toThrow('no room')
    expect([...store.readings(0, Number.POSITIVE_INFINITY)].flat()).toHaveLength(1)
    expect(minutesOf(store)).toEqual([1])
    other.exec('DROP TRIGGER fail')
    other.close()
    // the sensor that was new in the failed group is numbered properly the second time
    expect(store.append(more)).toEqual(more)
    expect(store.latest().map(r => r.sensor)).toEqual(['a', 'new'])
    expect(minutesOf(store)).toEqual([2])
    store.close()
  })
})
