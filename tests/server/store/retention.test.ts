import { expect, it } from 'vitest'
import type { Reading } from '../../../server/ingest/reading.js'
import { openStore } from '../../../server/store/sqlite.js'
import { temporaryFolder } from '../../temporary-folder.js'

const start = Date.UTC(2024, 0, 15)
const day = 86_400_000
const minute = 60_000

const days = (count: number): Reading[] =>
  ['a', 'b'].flatMap(sensor =>
    Array.from({ length: count * 1440 }, (_, index) => {
      const at = start + index * minute
      return { sensor, at, value: index, receivedAt: at }
    }),
  )

it('takes what is older than set, level by level, and says how many rows', () => {
  const store = openStore(temporaryFolder(), { retention: { readingDays: 2, minuteDays: 3, quarterHourDays: 4 } })
  store.append(days(5))
  // two sensors: 3 days of readings, 2 of minutes, 1 of quarter hours
  expect(store.pruneSome(start + 5 * day, Number.POSITIVE_INFINITY)).toBe(2 * (3 * 1440 + 2 * 1440 + 96))
  expect(store.pruneSome(start + 5 * day, Number.POSITIVE_INFINITY)).toBe(0)
  const left = [...store.readings(0, Number.POSITIVE_INFINITY)].flat()
  expect(left).toHaveLength(2 * 2 * 1440)
  expect(left[0]!.at).toBe(start + 3 * day)
  store.close()
})

it('can be done bit by bit', () => {
  const store = openStore(temporaryFolder(), { retention: { readingDays: 1, minuteDays: 100, quarterHourDays: 100 } })
  store.append(days(2))
  const steps: number[] = []
  for (let gone = 1; gone > 0; ) {
    gone = store.pruneSome(start + 2 * day, 1000)
    steps.push(gone)
  }
  // whole blocks, here of 60 readings, as far as they fit
  expect(steps).toEqual([960, 960, 960, 0])
  store.close()
})

it('a reading from before what is kept is not taken again, so it cannot count twice', () => {
  const folder = temporaryFolder()
  const retention = { readingDays: 1, minuteDays: 100, quarterHourDays: 100 }
  const store = openStore(folder, { retention })
  const readings = days(2)
  store.append(readings)
  store.pruneSome(start + 2 * day, Number.POSITIVE_INFINITY)
  expect(store.keptSince()).toBe(start + day)
  expect(store.append(readings)).toEqual([])
  store.close()
  const again = openStore(folder, { retention })
  expect(again.keptSince()).toBe(start + day)
  expect(again.append(readings)).toEqual([])
  const { points } = again.series('a', start, start + day, 96)
  expect(points.map(({ count }) => count)).toEqual(Array.from({ length: 96 }, () => 15))
  again.close()
})

it('settings that would keep readings longer than their summaries are refused', () => {
  const folder = temporaryFolder()
  expect(() => openStore(folder, { retention: { readingDays: 5000 } })).toThrow(/must rise/)
  expect(() => openStore(folder, { retention: { readingDays: 0 } })).toThrow(/above 0/)
  // and the folder is free again
  openStore(folder).close()
})

it('nothing is taken within the usual 90 days', () => {
  const store = openStore(temporaryFolder())
  store.append(days(1))
  expect(store.pruneSome(start + 90 * day, Number.POSITIVE_INFINITY)).toBe(0)
  expect(store.pruneSome(start + 91 * day, Number.POSITIVE_INFINITY)).toBe(2 * 1440)
  store.close()
})
