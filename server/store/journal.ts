import type { Database } from 'better-sqlite3'

/**
 * What was appended, group by group in order of arrival, until it is sealed into blocks: one row a group, so that a
 * commit writes a few pages however many sensors the readings come from. Its bytes: a version, then for each reading its
 * sensor's number, time (ms), value and delay (ms), little-endian.
 */
const version = 1
const perReading = 4 + 8 + 8 + 8

/** Packs a group. */
export class JournalGroup {
  #view = new DataView(new ArrayBuffer(1 + 64 * perReading))
  #length = 1

  constructor() {
    this.#view.setUint8(0, version)
  }

  add(sensor: number, at: number, value: number, delay: number): void {
    if (this.#length + perReading > this.#view.byteLength) {
      const larger = new Uint8Array(4 * this.#view.byteLength)
      larger.set(new Uint8Array(this.#view.buffer))
      this.#view = new DataView(larger.buffer)
    }
    const place = this.#length
    this.#view.setUint32(place, sensor, true)
    this.#view.setFloat64(place + 4, at, true)
    this.#view.setFloat64(place + 12, value, true)
    this.#view.setFloat64(place + 20, delay, true)
    this.#length = place + perReading
  }

  bytes(): Uint8Array {
    return new Uint8Array(this.#view.buffer, 0, this.#length)
  }
}

export interface Journal {
  /** the number of the group written last, ever */
  last(): number
  /** inside a transaction; it counts once `wrote` is called after the commit. @returns the group's number */
  write(bytes: Uint8Array): number
  wrote(group: number): void
  /** every reading that is there, in order of arrival */
  replay(each: (group: number, sensor: number, at: number, value: number, delay: number) => void): void
  /** deletes up to `most` groups up to number `through`; @returns how many */
  remove(through: number, most: number): number
}

/** @param through the last group known to be sealed: numbers go on after it, also when the journal is empty */
export const journalTable = (db: Database, through: number): Journal => {
  const insert = db.prepare<[number, Uint8Array]>('INSERT INTO journal (id, readings) VALUES (?, ?)')
  const all = db.prepare<[], { id: number; readings: Buffer }>('SELECT id, readings FROM journal ORDER BY id')
  const remove = db.prepare<[number, number]>(
    'DELETE FROM journal WHERE id IN (SELECT id FROM journal WHERE id <= ? ORDER BY id LIMIT ?)',
  )
  let last = Math.max(through, db.prepare<[], number | null>('SELECT max(id) FROM journal').pluck().get() ?? 0)
  return {
    last: () => last,
    write(bytes) {
      insert.run(last + 1, bytes)
      return last + 1
    },
    wrote(group) {
      last = group
    },
    replay(each) {
      for (const { id, readings } of all.iterate()) {
        const view = new DataView(readings.buffer, readings.byteOffset, readings.byteLength)
        if (view.byteLength % perReading !== 1 || view.getUint8(0) !== version)
          throw new Error(`Group ${id} of the journal of readings has a form that this program does not know.`)
        for (let place = 1; place < view.byteLength; place += perReading)
          each(
            id,
            view.getUint32(place, true),
            view.getFloat64(place + 4, true),
            view.getFloat64(place + 12, true),
            view.getFloat64(place + 20, true),
          )
      }
    },
    remove: (through, most) => remove.run(through, most).changes,
  }
}
