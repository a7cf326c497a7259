import { describe, expect, it } from 'vitest'
import type { Reading } from '../../../server/ingest/reading.js'
import { openStore } from '../../../server/store/sqlite.js'
import { temporaryFolder } from '../../temporary-folder.js'

const start = Date.UTC(2024, 0, 15, 6)
const reading = (sensor: string, at: number, value: number, receivedAt = at): Reading => ({
  sensor,
  at,
  value,
  receivedAt,
})

const opened = (folder = temporaryFolder()) => openStore(folder)

describe('readings', () => {
  it('lie in a database that keeps its name', () => {
    const folder = temporaryFolder()
    const first = openStore(folder)
    const { serviceId } = first
    first.close()
    const second = openStore(folder)
    expect(second.serviceId).toBe(serviceId)
    second.close()
  })

  it('may be stored while older ones are being read', () => {
    const store = opened()
    store.append(Array.from({ length: 5000 }, (_, index) => reading('a', start + index * 1000, index)))
    let read = 0
    for (const together of store.readings(0, start + 5_000_000)) {
      for (const { value } of together) {
        expect(value).toBe(read)
        read += 1
      }
      store.append([reading('b', start + 6_000_000 + read, 1)])
    }
    expect(read).toBe(5000)
    store.close()
  })

  it('over years with long gaps cost no more than those of days', () => {
    const hour = 3_600_000
    const took = (apart: number) => {
      const store = opened()
      store.append([reading('a', start, 1), reading('a', start + 3 * apart, 2), reading('a', start + 40 * apart, 3)])
      const times = [1, 2, 3].map(() => {
        const began = performance.now()
        expect([...store.readings(0, Number.MAX_SAFE_INTEGER)].flat().map(r => r.value)).toEqual([1, 2, 3])
        return performance.now() - began
      })
      store.close()
      return Math.min(...times)
    }
    // hour by hour it would be 8,760 times as much; a busy computer may make it a few times
    expect(took(365 * 24 * hour)).toBeLessThan(20 * took(hour) + 50)
  })

  it('newest of each sensor is the newest by its own time, not by arrival', () => {
    const store = opened()
    store.append([reading('a', start + 10, 1), reading('b', start, 5)])
    store.append([reading('a', start, 2, start + 60_000)])
    expect(store.latest()).toEqual([reading('a', start + 10, 1), reading('b', start, 5)])
    store.close()
  })

  it.each([
    ['a value that is no number', reading('a', start, Number.NaN)],
    ['a value that is not finite', reading('a', start, Number.POSITIVE_INFINITY)],
    ['a time with a fraction', reading('a', start + 0.5, 20)],
    ['a time before 1970', reading('a', -1, 20)],
    ['a time beyond the calendar', reading('a', 2 ** 49, 20)],
  ])('with %s are a fault of the caller: nothing of the group is stored', (_, wrong) => {
    const store = opened()
    expect(() => store.append([reading('b', start, 1), wrong])).toThrow(RangeError)
    expect(store.latest()).toEqual([])
    store.append([reading('b', start, 1)])
    expect(store.latest()).toHaveLength(1)
    store.close()
  })

  it('of sensors with any name, also those that JavaScript has a use for, are told apart', () => {
    const folder = temporaryFolder()
    const names = ['__proto__', 'constructor', 'toString', '12', '012', '', 'ä']
    const group = names.map((name, index) => reading(name, start + index, index))
    const first = openStore(folder)
    expect(first.series('__proto__', start, start + 10, 10).points).toEqual([])
    expect(first.append(group)).toEqual(group)
    first.close()
    const second = openStore(folder)
    expect(second.append(group)).toEqual([])
    expect([...second.readings(start, start + 10)].flat()).toEqual(group)
    for (const [index, name] of names.entries())
      expect(second.series(name, start, start + 10, 10).points.map(({ mean }) => mean)).toEqual([index])
    second.close()
  })

  it('an empty group is no trouble', () => {
    const store = opened()
    expect(store.append([])).toEqual([])
    expect([...store.readings(0, start)].flat()).toEqual([])
    expect(store.series('a', 0, start, 100)).toEqual({ level: 'reading', points: [] })
    store.close()
  })
})
