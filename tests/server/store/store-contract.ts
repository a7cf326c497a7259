import { describe, expect, it } from 'vitest'
import type { Reading } from '../../../server/ingest/reading.js'
import type { Store } from '../../../server/store/store.js'
import { factContract } from './fact-contract.js'
import { inspectionContract } from './inspection-contract.js'

/** A store as its users see it. */
type AnyStore = Pick<Store, 'facts' | 'inspections' | 'append' | 'latest' | 'readings' | 'series'>

const start = Date.UTC(2024, 0, 15, 6)
const reading = (sensor: string, at: number, value: number, receivedAt = at): Reading => ({
  sensor,
  at,
  value,
  receivedAt,
})
const read = async (store: AnyStore, from: number, to: number): Promise<Reading[]> => {
  const found: Reading[] = []
  for await (const together of store.readings(from, to)) found.push(...together)
  return found
}

/**
 * What every store must do, whatever it keeps things in: with this alone, what stands above it works.
 *
 * @param open a store that is empty, and a way to end it and open it again on what it kept
 */
export const storeContract = (open: () => { store: AnyStore; reopened: () => AnyStore }): void => {
  describe('readings', () => {
    it('are there again, value by value, when the store is opened again', async () => {
      const { store, reopened } = open()
      const all = [reading('a', start, 20.125, start + 40), reading('b', start + 1, -3.5), reading('a', start + 2, 0.1)]
      await store.append(all)
      const again = reopened()
      expect(await read(again, 0, Number.POSITIVE_INFINITY)).toEqual(all)
      expect(await again.latest()).toEqual(expect.arrayContaining([all[1], all[2]]))
      expect(await again.latest()).toHaveLength(2)
    })

    it('sent twice are kept once, the first value stands, and only new ones are returned', async () => {
      const { store } = open()
      const once = [reading('a', start, 20), reading('b', start, 21)]
      expect(await store.append(once)).toEqual(once)
      const more = [reading('a', start, 99), reading('a', start + 1, 22)]
      expect(await store.append(more)).toEqual([reading('a', start + 1, 22)])
      expect(await store.append([reading('c', start, 1), reading('c', start, 2)])).toEqual([reading('c', start, 1)])
      expect((await read(store, start, start + 2)).map(r => [r.sensor, r.value])).toEqual([
        ['a', 20],
        ['b', 21],
        ['c', 1],
        ['a', 22],
      ])
    })

    it('come in order of time whatever order they arrived in, from included and to excluded', async () => {
      const { store } = open()
      await store.append([reading('a', start + 30, 3), reading('b', start + 20, 2), reading('a', start + 10, 1)])
      await store.append([reading('b', start, 0)])
      expect((await read(store, start, start + 30)).map(r => r.value)).toEqual([0, 1, 2])
      expect((await read(store, start + 30, start + 31)).map(r => r.value)).toEqual([3])
      expect(await read(store, start + 31, start)).toEqual([])
    })

    it('are summed up as coarsely as the number of points allows, and none is counted twice', async () => {
      const { store } = open()
      const count = 4 * 3600
      const all = Array.from({ length: count }, (_, i) => reading('a', start + i * 1000, i % 60))
      await store.append(all)
      const end = start + count * 1000
      for (const [points, level] of [
        [count, 'reading'],
        [200, 'minute'],
        [10, 'quarter hour'],
      ] as const) {
        const series = await store.series('a', start, end, points)
        expect(series.level).toBe(level)
        expect(series.points.length).toBeGreaterThanOrEqual(points)
        expect(series.points.reduce((sum, point) => sum + point.count, 0)).toBe(count)
      }
      const { points } = await store.series('a', start, end, 200)
      expect(points[1]).toEqual({ at: start + 60_000, count: 60, mean: 29.5, min: 0, max: 59 })
      expect((await store.series('nobody', start, end, 10)).points).toEqual([])
    })
  })

  describe('inspections', () => inspectionContract(open))

  describe('facts', () =>
    factContract(() => {
      const { store, reopened } = open()
      return { facts: store.facts, reopened: () => reopened().facts }
    }))
}
