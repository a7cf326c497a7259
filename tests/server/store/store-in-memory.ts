import type { Inspection } from '../../../core/inspection/index.js'
import type { Reading } from '../../../server/ingest/reading.js'
import type { Series, SeriesPoint, Store } from '../../../server/store/store.js'
import { factsInMemory } from './facts-in-memory.js'

const levels = [
  ['quarter hour', 900_000],
  ['minute', 60_000],
] as const

const summedUp = (readings: readonly Reading[], width: number): SeriesPoint[] => {
  const found = new Map<number, number[]>()
  for (const { at, value } of readings) {
    const begin = Math.floor(at / width) * width
    const values = found.get(begin)
    if (values) values.push(value)
    else found.set(begin, [value])
  }
  return [...found].map(([at, values]) => ({
    at,
    count: values.length,
    mean: values.reduce((sum, value) => sum + value, 0) / values.length,
    min: Math.min(...values),
    max: Math.max(...values),
  }))
}

/** A store that ends with the test, written without a look at the one in SQLite: the same contract holds for both. */
export const storeInMemory = (): Pick<Store, 'facts' | 'inspections' | 'append' | 'latest' | 'readings' | 'series'> => {
  const parts: Inspection[] = []
  const all = new Map<string, Reading>()
  const between = (from: number, to: number): Reading[] =>
    [...all.values()].filter(({ at }) => from <= at && at < to).sort((a, b) => a.at - b.at)
  return {
    facts: factsInMemory(),
    inspections: {
      add(imported, entries) {
        for (const entry of entries) parts.push(structuredClone({ ...entry, import: imported, id: parts.length + 1 }))
      },
      of: ({ from = 0, to = Number.POSITIVE_INFINITY, ...asked } = {}) => [
        parts
          .filter(part => from <= part.from && part.from < to)
          .filter(part =>
            Object.entries(asked).every(([name, value]) => [undefined, part[name as keyof Inspection]].includes(value)),
          )
          .sort((a, b) => a.from - b.from || a.id - b.id),
      ],
    },
    append: readings =>
      readings.filter(reading => {
        const key = `${reading.at} ${reading.sensor}`
        if (all.has(key)) return false
        all.set(key, reading)
        return true
      }),
    latest: () => [...new Map(between(0, Number.POSITIVE_INFINITY).map(reading => [reading.sensor, reading])).values()],
    readings: (from, to) => between(from, to).map(reading => [reading]),
    series(sensor, from, to, points): Series {
      const own = between(from, to).filter(reading => reading.sensor === sensor)
      for (const [level, width] of levels) {
        const rows = summedUp(own, width)
        if (rows.length >= points) return { level, points: rows }
      }
      return { level: 'reading', points: summedUp(own, 1) }
    },
  }
}
