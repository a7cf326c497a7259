import { mkdtempSync, readdirSync, rmSync, statSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { setTimeout as pause } from 'node:timers/promises'
import Database from 'better-sqlite3'
import type { Reading } from '../../server/ingest/reading.js'
import { openStore, type SqliteStore } from '../../server/store/sqlite.js'

const hour = 3_600_000
const day = 24 * hour
const start = Date.UTC(2024, 0, 15)
const interval = 10_000
const groupSize = 1000

/** deletes the folder also when the work fails */
const inFolder = <T>(work: (folder: string) => T): T => {
  const folder = mkdtempSync(join(tmpdir(), 'quiet-iron-bench-'))
  try {
    return work(folder)
  } finally {
    rmSync(folder, { recursive: true, force: true })
  }
}

/** a small generator of its own (a linear congruential one), so that every run sees the same data */
const random = (() => {
  let state = 1
  return () => {
    state = (state * 1664525 + 1013904223) % 2 ** 32
    return state / 2 ** 32
  }
})()
const normal = () => Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random())

/** °C of a sensor in 1/16 K: a day's swing, a shorter one, and its noise */
const valueAt = (sensor: number, at: number): number => {
  const swing = 3 * Math.sin((2 * Math.PI * (at + sensor * 7e5)) / day) + Math.sin(at / (1.1 * hour) + sensor)
  return Math.round((21 + swing + 0.03 * normal()) * 16) / 16
}

/** every sensor each 10 s, each at its own moment, some ms off, in groups as they are committed */
function* groups(names: readonly string[], count: number): Generator<Reading[]> {
  let group: Reading[] = []
  for (let index = 0; index < count; index += 1) {
    const sensor = index % names.length
    const due = start + Math.floor(index / names.length) * interval + Math.floor((sensor * interval) / names.length)
    const at = due + Math.floor(random() * 4)
    group.push({
      sensor: names[sensor]!,
      at,
      value: valueAt(sensor, at),
      receivedAt: at + 3 + Math.floor(random() * 30),
    })
    if (group.length === groupSize) {
      yield group
      group = []
    }
  }
  if (group.length > 0) yield group
}

const namesOf = (sensors: number) =>
  Array.from({ length: sensors }, (_, index) => `machine-${index >> 3}-node-${index & 7}`)

const median = (values: number[]): number => values.sort((a, b) => a - b)[values.length >> 1]!

const bytesIn = (folder: string) =>
  readdirSync(folder)
    .filter(name => name.endsWith('.db'))
    .reduce((sum, name) => sum + statSync(join(folder, name)).size, 0)

interface Rates {
  /** readings a second */
  append: number
  withSealing: number
  /** ms */
  longestSlice: number
}

/** readings a second: of the commits alone, and with the sealing between them as the service does it */
const appendRates = (sensors: number, count: number): Rates =>
  inFolder(folder => {
    const store = openStore(folder)
    const names = namesOf(sensors)
    // every sensor is known, as it is in a shop that has run for a while
    store.append(names.map(sensor => ({ sensor, at: start - 1, value: 20, receivedAt: start - 1 })))
    let appending = 0
    let sealing = 0
    let longestSlice = 0
    const seal = (now: number): void => {
      for (let more = true; more; ) {
        const began = performance.now()
        more = store.sealSome(now)
        const took = performance.now() - began
        sealing += took
        longestSlice = Math.max(longestSlice, took)
      }
    }
    for (const group of groups(names, count)) {
      const began = performance.now()
      store.append(group)
      appending += performance.now() - began
      seal(group[0]!.at)
    }
    // as if the next hours had come: all of it is paid for here
    seal(start + 1000 * day)
    store.close()
    return { append: (1000 * count) / appending, withSealing: (1000 * count) / (appending + sealing), longestSlice }
  })

/** a plain table keyed by sensor and time, written as the store writes */
const plainTable = (sensors: number, count: number): { rate: number; bytes: number } =>
  inFolder(folder => {
    const db = new Database(join(folder, 'plain.db'))
    db.pragma('journal_mode = WAL')
    db.pragma('synchronous = FULL')
    db.pragma('cache_size = -32000')
    db.exec(
      `CREATE TABLE readings (sensor INTEGER, at INTEGER, value REAL, delay INTEGER, PRIMARY KEY (sensor, at)) WITHOUT ROWID`,
    )
    const insert = db.prepare<[number, number, number, number]>('INSERT OR IGNORE INTO readings VALUES (?, ?, ?, ?)')
    const numbers = new Map(namesOf(sensors).map((name, index) => [name, index]))
    let took = 0
    const all = db.transaction((group: Reading[]) => {
      for (const { sensor, at, value, receivedAt } of group)
        insert.run(numbers.get(sensor)!, at, value, receivedAt - at)
    })
    for (const group of groups(namesOf(sensors), count)) {
      const began = performance.now()
      all.immediate(group)
      took += performance.now() - began
    }
    db.close()
    const bytes = bytesIn(folder) / count
    return { rate: (1000 * count) / took, bytes }
  })

/** bytes a reading, all tables, summaries and free pages counted: two days of fifty sensors, an hour of them unsealed */
const bytesPerReading = (sensors: number, count: number): number =>
  inFolder(folder => {
    const store = openStore(folder)
    for (const group of groups(namesOf(sensors), count)) {
      store.append(group)
      while (store.sealSome(group[0]!.at));
    }
    store.close()
    const bytes = bytesIn(folder) / count
    return bytes
  })

const timed = (store: SqliteStore, span: number, end: number, points: number): number =>
  median(
    Array.from({ length: 7 }, () => {
      const began = performance.now()
      store.series('one', end - span, end, points)
      return performance.now() - began
    }),
  )

/** ms to answer for one sensor that has reported every 10 s for a year */
const seriesTimes = (): { year: number; day: number } =>
  inFolder(folder => {
    const store = openStore(folder, { retention: { readingDays: 400 } })
    const end = start + 365 * day
    for (let begin = start; begin < end; begin += day) {
      const group: Reading[] = []
      for (let at = begin; at < begin + day; at += interval)
        group.push({ sensor: 'one', at, value: valueAt(0, at), receivedAt: at + 20 })
      store.append(group)
      while (store.sealSome(begin + day));
    }
    const times = { year: timed(store, 365 * day, end, 1500), day: timed(store, day, end, day / interval) }
    store.close()
    return times
  })

/** One for each repetition. */
interface AppendRates {
  sensors: number
  ours: Rates[]
  /** readings a second into the plain table */
  plain: number[]
}

export interface StorageFigures {
  append: AppendRates[]
  /** bytes a reading */
  bytes: number
  plainBytes: number
  /** ms, medians of seven: a year of a sensor that reports every 10 s at 1,500 points, and a day of it in full */
  year: number
  day: number
}

/** Rates, sizes and times of the store; "plain" is a plain table keyed by sensor and time in the same run. */
export const storageBench = async (repetitions: number): Promise<StorageFigures> => {
  const count = 400_000
  const append: AppendRates[] = [100, 1000, 10_000].map(sensors => ({ sensors, ours: [], plain: [] }))
  // in turns, so that what else the machine does falls on all alike
  for (let n = 0; n < repetitions; n++)
    for (const { sensors, ours, plain } of append) {
      ours.push(appendRates(sensors, count))
      plain.push(plainTable(sensors, count).rate)
      // all else here holds the process; Ctrl-C is heard now
      await pause(1)
    }
  const [sensors, readings] = [50, 50 * 2 * 8640]
  return {
    append,
    bytes: bytesPerReading(sensors, readings),
    plainBytes: plainTable(sensors, readings).bytes,
    ...seriesTimes(),
  }
}
