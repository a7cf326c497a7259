import { deflateRawSync, inflateRawSync } from 'node:zlib'
import type { Database } from 'better-sqlite3'
import type { Readings } from './block.js'
import { withChecksum } from './checksum.js'
import type { Damage } from './damage.js'
import { beginOf, day, hour } from './keys.js'
import { newestTable } from './newest.js'
import type { SealedState, Sealing } from './sealing.js'
import { addedUp, minuteWidth, quarterHourWidth, rolledUp, summarised, withoutRounding } from './summaries.js'

/** A reading by the number of its sensor and its time, ms. */
export interface ReadingKey {
  sensor: number
  at: number
}

/** ms of work in one transaction */
const slice = 8
/** ms; a time after all others, at which whatever waits is due to be sealed */
const ever = 8e15

const version = 1
const perKey = 4 + 8

const packed = (keys: readonly ReadingKey[]): Buffer => {
  const bytes = Buffer.alloc(keys.length * perKey)
  // columns of differences: what repeats itself takes hardly any room then
  let [sensor, at] = [0, 0]
  for (const [i, key] of keys.entries()) {
    bytes.writeInt32LE(key.sensor - sensor, 4 * i)
    bytes.writeDoubleLE(key.at - at, 4 * keys.length + 8 * i)
    sensor = key.sensor
    at = key.at
  }
  return Buffer.concat([Buffer.of(version), deflateRawSync(bytes)])
}

const unpacked = (data: Buffer): ReadingKey[] => {
  const bytes = inflateRawSync(data.subarray(1))
  const count = bytes.length / perKey
  const keys: ReadingKey[] = []
  let [sensor, at] = [0, 0]
  for (let i = 0; i < count; i += 1) {
    sensor += bytes.readInt32LE(4 * i)
    at += bytes.readDoubleLE(4 * count + 8 * i)
    keys.push({ sensor, at })
  }
  return keys
}

const picked = ({ at, value, delay }: Readings, keep: (time: number) => boolean): Readings => {
  const indexes = Array.from(at.keys()).filter(index => keep(at[index]!))
  const pick = (column: Float64Array) => Float64Array.from(indexes, index => column[index]!)
  return { at: pick(at), value: pick(value), delay: pick(delay) }
}

/**
 * Which readings an import has added, so that they, and nothing else, can be taken out again. They are noted in the very
 * transaction that stores them, in parts of a group each.
 */
interface Imported {
  /** inside a transaction */
  note(imported: number, added: readonly ReadingKey[]): void
  /** what is noted of an import; null when nothing is: it added nothing, or was taken back */
  noted(imported: number): { readings: number; first: number } | null
  /**
   * Takes some ms' worth of an import's readings out of blocks and summaries. Each slice commits what it took out with
   * what is left to do, so that a process killed in between goes on from there.
   *
   * @returns true while there is more to do
   */
  takeBackSome(imported: number): boolean
  /** what retention has deleted need not be noted any more; @param before ms */
  forget(before: number): void
}

export const importedTable = (
  db: Database,
  state: SealedState & { lastSealed(sensor: number): [at: number, value: number, delay: number] | null },
  sealing: Sealing,
  damage: Damage,
  say: (text: string) => void,
): Imported => {
  const { blocks, journal, tail, newest } = state
  const insert = db.prepare<[number, number, number, number, number, Buffer]>(
    'INSERT INTO imported_readings (import, part, first, last, count, readings) VALUES (?, ?, ?, ?, ?, ?)',
  )
  const lastPart = db
    .prepare<[number], number | null>('SELECT max(part) FROM imported_readings WHERE import = ?')
    .pluck()
  const sums = db.prepare<[number], { readings: number | null; first: number | null }>(
    'SELECT sum(count) AS readings, min(first) AS first FROM imported_readings WHERE import = ?',
  )
  const next = db.prepare<[number], { part: number; readings: Buffer }>(
    'SELECT part, readings FROM imported_readings WHERE import = ? ORDER BY part LIMIT 1',
  )
  const rest = db.prepare<[number, Buffer, number, number]>(
    'UPDATE imported_readings SET count = ?, readings = ? WHERE import = ? AND part = ?',
  )
  const remove = db.prepare<[number, number]>('DELETE FROM imported_readings WHERE import = ? AND part = ?')
  const forget = db.prepare<[number]>("UPDATE imported_readings SET readings = x'' WHERE last < ? AND readings <> x''")
  const notes = newestTable(db)
  /** by import, the group of the journal up to which its readings must lie in blocks */
  const through = new Map<number, number>()

  const keyOf = (imported: number, part: number) => `imported ${imported} ${part}`
  const sealedPack = (imported: number, part: number, keys: readonly ReadingKey[]) =>
    withChecksum(packed(keys), keyOf(imported, part))

  const takeOut = (sensor: number, begin: number, times: ReadonlySet<number>): void => {
    const before = blocks.readings(sensor, begin)
    if (!before) return
    const today = beginOf(begin, day)
    const gone = [...before.at].filter(at => times.has(at))
    const minutesGone = new Set(gone.map(at => beginOf(at, minuteWidth)))
    const quartersGone = new Set(gone.map(at => beginOf(at, quarterHourWidth)))
    const kept = picked(before, at => !times.has(at))
    // what nothing was taken out of stays as it is
    const minutes = addedUp(
      blocks.minutes(sensor, begin).filter(([at]) => !minutesGone.has(at)),
      summarised(
        picked(kept, at => minutesGone.has(beginOf(at, minuteWidth))),
        minuteWidth,
      ),
    )
    const quarterHours = addedUp(
      blocks.quarterHours(sensor, today, today + day).filter(([at]) => !quartersGone.has(at)),
      rolledUp(
        minutes.filter(([at]) => quartersGone.has(beginOf(at, quarterHourWidth))),
        quarterHourWidth,
      ),
    )
    blocks.putReadings(sensor, begin, kept)
    blocks.putMinutes(sensor, begin, withoutRounding(minutes))
    blocks.putQuarterHours(sensor, today, withoutRounding(quarterHours))
    if (times.has(newest.at(sensor))) newestAgain(sensor)
  }

  const newestAgain = (sensor: number): void => {
    const waiting = tail.of(sensor, 0, Number.POSITIVE_INFINITY)
    const end = waiting.at.length - 1
    const sealed = state.lastSealed(sensor)
    newest.replace(sensor, sealed ?? [-1, 0, 0])
    if (end >= 0) newest.offer(sensor, waiting.at[end]!, waiting.value[end]!, waiting.delay[end]!)
    if (newest.at(sensor) >= 0) notes.put(sensor, newest.bytes(sensor))
    else notes.remove(sensor)
  }

  const takeSlice = db.transaction((imported: number): boolean => {
    const row = next.get(imported)
    if (!row) return false
    const { part, readings } = row
    const known = damage.intact(readings, keyOf(imported, part), unpacked)
    if (!known) say(`What part ${part} of import ${imported} has added is damaged on the disk: those readings stay.`)
    const keys = known ?? []
    const byHour = new Map<string, { sensor: number; begin: number; times: Set<number> }>()
    for (const { sensor, at } of keys) {
      const begin = beginOf(at, hour)
      const key = `${sensor} ${begin}`
      const found = byHour.get(key) ?? { sensor, begin, times: new Set() }
      byHour.set(key, found)
      found.times.add(at)
    }
    const until = performance.now() + slice
    const left: ReadingKey[] = []
    let first = true
    for (const { sensor, begin, times } of byHour.values())
      if (first || performance.now() < until) {
        takeOut(sensor, begin, times)
        first = false
      } else for (const at of times) left.push({ sensor, at })
    if (left.length === 0) remove.run(imported, part)
    else rest.run(left.length, sealedPack(imported, part, left), imported, part)
    return true
  })

  return {
    note(imported, added) {
      if (added.length === 0) return
      const keys = added.toSorted((a, b) => a.sensor - b.sensor || a.at - b.at)
      const part = (lastPart.get(imported) ?? 0) + 1
      let [first, last] = [Number.POSITIVE_INFINITY, 0]
      for (const { at } of keys) {
        if (at < first) first = at
        if (at > last) last = at
      }
      insert.run(imported, part, first, last, keys.length, sealedPack(imported, part, keys))
    },
    noted(imported) {
      const { readings, first } = sums.get(imported)!
      return readings === null || first === null ? null : { readings, first }
    },
    takeBackSome(imported) {
      const target = through.get(imported) ?? journal.last()
      through.set(imported, target)
      // what is left in the journal would be met again at the next start
      if (journal.first() <= target) {
        sealing.sealSome(ever)
        return true
      }
      newest.begin()
      try {
        const more = takeSlice.immediate(imported)
        blocks.changed()
        if (!more) through.delete(imported)
        return more
      } catch (error) {
        newest.undo()
        throw error
      }
    },
    forget: before => {
      forget.run(before)
    },
  }
}
