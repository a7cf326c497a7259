import type { Database } from 'better-sqlite3'
import { withChecksum } from './checksum.js'
import type { Damage, DamagedPart } from './damage.js'
import { beginOf, hour } from './keys.js'

/**
 * What was appended, group by group in order of arrival, until it is sealed into blocks: one row a group, so that a
 * commit writes a few pages however many sensors the readings come from. Its bytes: a version, then for each reading its
 * sensor's number, time (ms), value and delay (ms), little-endian, then a checksum.
 */
const version = 1
const perReading = 4 + 8 + 8 + 8
/** ms; readings of one group lie no further from its middle one, else their time is part of the damage */
const nearby = 400 * 24 * hour

type EachReading = (sensor: number, at: number, value: number, delay: number) => void

/** @returns false when the length is not that of a group */
const eachOf = (bytes: Uint8Array, each: EachReading): boolean => {
  if (bytes.length % perReading !== 1) return false
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength)
  for (let offset = 1; offset < bytes.length; offset += perReading)
    each(
      view.getUint32(offset, true),
      view.getFloat64(offset + 4, true),
      view.getFloat64(offset + 12, true),
      view.getFloat64(offset + 20, true),
    )
  return true
}

/** Whose readings were in a damaged group, and of which hours, as far as it still tells. */
const damagedParts = (data: Buffer, isSensor: (number: number) => boolean): DamagedPart[] => {
  const found: { sensor: number; at: number }[] = []
  // where the sum is missing or cut, so many bytes at the end are left over
  const whole = data.subarray(0, data.length - ((data.length - 1) % perReading))
  eachOf(whole, (sensor, at) => isSensor(sensor) && at >= 0 && at < 2 ** 48 && found.push({ sensor, at }))
  found.sort((a, b) => a.at - b.at)
  const middle = found[found.length >> 1]?.at ?? 0
  const parts = new Map<string, DamagedPart>()
  for (const { sensor, at } of found) {
    if (Math.abs(at - middle) > nearby) continue
    const from = beginOf(Math.floor(at), hour)
    parts.set(`${sensor} ${from}`, { kind: 'journal', sensor, from, to: from + hour, remade: false, data: null })
  }
  const [first, ...rest] = parts.values()
  if (!first) return [{ kind: 'journal', sensor: null, from: middle, to: middle, remade: false, data }]
  return [{ ...first, data }, ...rest]
}

/** Packs a group. */
export class JournalGroup {
  private view = new DataView(new ArrayBuffer(1 + 64 * perReading))
  private length = 1

  constructor() {
    this.view.setUint8(0, version)
  }

  add(sensor: number, at: number, value: number, delay: number): void {
    if (this.length + perReading > this.view.byteLength) {
      const larger = new Uint8Array(4 * this.view.byteLength)
      larger.set(new Uint8Array(this.view.buffer))
      this.view = new DataView(larger.buffer)
    }
    const offset = this.length
    this.view.setUint32(offset, sensor, true)
    this.view.setFloat64(offset + 4, at, true)
    this.view.setFloat64(offset + 12, value, true)
    this.view.setFloat64(offset + 20, delay, true)
    this.length = offset + perReading
  }

  bytes(): Uint8Array {
    return new Uint8Array(this.view.buffer, 0, this.length)
  }
}

export interface Journal {
  /** the number of the group written last, ever */
  last(): number
  /** the number of the first group that is still there; infinite when there is none */
  first(): number
  /** inside a transaction; it counts once `wrote` is called after the commit. @returns the group's number */
  write(bytes: Uint8Array): number
  wrote(group: number): void
  /** every reading that is there, in order of arrival; groups that are damaged are set aside */
  replay(each: (group: number, sensor: number, at: number, value: number, delay: number) => void): void
  /** deletes up to `most` groups up to number `through`; @returns how many */
  remove(through: number, most: number): number
}

/** @param through the last group known to be sealed: numbers go on after it, also when the journal is empty */
export const journalTable = (db: Database, through: number, damage: Damage): Journal => {
  const insert = db.prepare<[number, Uint8Array]>('INSERT INTO journal (id, readings) VALUES (?, ?)')
  const all = db.prepare<[], { id: number; readings: Buffer }>('SELECT id, readings FROM journal ORDER BY id')
  const remove = db.prepare<[number, number]>(
    'DELETE FROM journal WHERE id IN (SELECT id FROM journal WHERE id <= ? ORDER BY id LIMIT ?)',
  )
  const removeOne = db.prepare<[number]>('DELETE FROM journal WHERE id = ?')
  const known = db.prepare<[number], number>('SELECT 1 FROM sensors WHERE id = ?').pluck()
  const first = db.prepare<[], number | null>('SELECT min(id) FROM journal').pluck()
  let last = Math.max(through, db.prepare<[], number | null>('SELECT max(id) FROM journal').pluck().get() ?? 0)
  return {
    last: () => last,
    first: () => first.get() ?? Number.POSITIVE_INFINITY,
    write(bytes) {
      insert.run(last + 1, withChecksum(bytes, `journal ${last + 1}`))
      return last + 1
    },
    wrote(group) {
      last = group
    },
    replay(each) {
      const damaged: { id: number; readings: Buffer }[] = []
      for (const { id, readings } of all.iterate()) {
        const bytes = damage.intact(readings, `journal ${id}`, found => found)
        const read = bytes !== null && eachOf(bytes, (...reading) => each(id, ...reading))
        if (!read) damaged.push({ id, readings })
      }
      for (const { id, readings } of damaged)
        damage.setAside(
          damagedParts(readings, number => known.get(number) !== undefined),
          () => removeOne.run(id),
        )
    },
    remove: (through, most) => remove.run(through, most).changes,
  }
}
