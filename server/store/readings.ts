import type { Database } from 'better-sqlite3'
import type { Reading } from '../ingest/reading.js'
import type { ReadingKey } from './imported.js'
import { type Journal, JournalGroup } from './journal.js'
import { beginOf, hour, hourKey } from './keys.js'
import type { Newest } from './newest.js'
import { within } from './readings-of.js'
import type { SensorNumbers } from './sensors.js'
import type { Stored } from './stored.js'
import type { Tail } from './tail.js'

/** readings given together */
const together = 1000

/** ms; the latest time that can be stored (the year 10889) */
const latestTime = 2 ** 48

const assertStorable = (reading: Reading): void => {
  const { sensor, at, value, receivedAt } = reading
  if (!Number.isInteger(at) || at < 0 || at > latestTime)
    throw new RangeError(`Reading of ${sensor}: its time must be whole ms since 1970, not ${at}`)
  if (!Number.isFinite(value)) throw new RangeError(`Reading of ${sensor}: its value must be finite, not ${value}`)
  if (!Number.isFinite(receivedAt))
    throw new RangeError(`Reading of ${sensor}: its arrival must be ms since 1970, not ${receivedAt}`)
}

interface ReadingTable {
  /** @param also is told of the new ones inside the transaction: what it writes is committed with them */
  append(readings: readonly Reading[], also?: (added: readonly ReadingKey[]) => void): Reading[]
  latest(): Reading[]
  /** see `Store.readings` */
  between(from: number, to: number): Iterable<readonly Reading[]>
}

interface ReadingParts {
  sensors: SensorNumbers
  journal: Journal
  tail: Tail
  newest: Newest
  stored: Stored
  /** ms; older readings are gone by retention */
  keptSince(): number
  /** @throws when what is written would be lost */
  assertThere?(): void
}

export const readingTable = (db: Database, parts: ReadingParts): ReadingTable => {
  const { sensors, journal, tail, newest, stored, keptSince, assertThere } = parts

  /**
   * Which readings of a group are sealed already, 1 for each that is. They are looked up block by block, so that none is
   * opened twice in a group.
   *
   * @param first readings before this one are not asked for
   */
  const sealedOf = (readings: readonly Reading[], first: number): Uint8Array => {
    const late: { index: number; sensor: number; at: number; key: number }[] = []
    for (let index = first; index < readings.length; index += 1) {
      const { at } = readings[index]!
      const sensor = sensors.find(readings[index]!.sensor)
      if (sensor !== undefined && at >= keptSince() && at <= newest.at(sensor))
        late.push({ index, sensor, at, key: hourKey(sensor, beginOf(at, hour)) })
    }
    late.sort((a, b) => a.key - b.key)
    const sealed = new Uint8Array(readings.length)
    for (const { index, sensor, at } of late) if (stored.isSealed(sensor, at)) sealed[index] = 1
    return sealed
  }

  type Also = (added: readonly ReadingKey[]) => void
  const store = db.transaction((readings: readonly Reading[], also?: Also): { added: Reading[]; group: number } => {
    const group = new JournalGroup()
    const added: Reading[] = []
    const since = keptSince()
    /** mostly there is no late reading, and then this is not needed */
    let sealed: Uint8Array | null = null
    for (let index = 0; index < readings.length; index += 1) {
      const reading = readings[index]!
      const { at, value } = reading
      // a duplicate of a reading that retention has deleted could not be told from a new one
      if (at < since) continue
      const sensor = sensors.number(reading.sensor)
      if (at <= newest.at(sensor)) {
        sealed ??= sealedOf(readings, index)
        if (sealed[index] === 1 || tail.has(sensor, at)) continue
      }
      const delay = Math.round(reading.receivedAt - at)
      group.add(sensor, at, value, delay)
      tail.current.add(sensor, at, value, delay)
      newest.offer(sensor, at, value, delay)
      added.push(reading)
    }
    also?.(added.map(({ sensor, at }) => ({ sensor: sensors.number(sensor), at })))
    const written = added.length > 0 ? journal.write(group.bytes()) : journal.last()
    assertThere?.()
    return { added, group: written }
  })

  /** readings of one hour, from the packed order of their times */
  const hourOf = function* (begin: number, from: number, to: number): Iterable<readonly Reading[]> {
    const names = [...sensors.all()].sort(([, a], [, b]) => a - b)
    const found = [
      ...stored.ofHour(
        begin,
        names.map(([, number]) => number),
      ),
    ].map(([sensor, readings]) => [sensor, within(readings, from, to)] as const)
    const nameOf = new Map(names.map(([name, number]) => [number, name]))
    const count = found.reduce((sum, [, { at }]) => sum + at.length, 0)
    // one number says when in the hour (22 bits) and which of all (31 bits), so that plain numbers are sorted
    const order = new Float64Array(count)
    const owner = new Int32Array(count)
    const first = new Int32Array(found.length)
    let index = 0
    for (const [series, [, { at }]] of found.entries()) {
      first[series] = index
      for (const time of at) {
        owner[index] = series
        order[index] = (time - begin) * 2 ** 31 + index
        index += 1
      }
    }
    let readings: Reading[] = []
    for (const packed of order.sort()) {
      const which = packed % 2 ** 31
      const series = owner[which]!
      const [sensor, { at, value, delay }] = found[series]!
      const own = which - first[series]!
      const time = at[own]!
      readings.push({ sensor: nameOf.get(sensor)!, at: time, value: value[own]!, receivedAt: time + delay[own]! })
      if (readings.length < together) continue
      yield readings
      readings = []
    }
    if (readings.length > 0) yield readings
  }

  return {
    append(readings, also) {
      for (const reading of readings) assertStorable(reading)
      if (readings.length === 0) return []
      const before = tail.current.size
      sensors.begin()
      newest.begin()
      try {
        const { added, group } = store.immediate(readings, also)
        journal.wrote(group)
        return added
      } catch (error) {
        tail.current.truncate(before)
        newest.undo()
        sensors.forget()
        throw error
      }
    },
    latest() {
      const found: Reading[] = []
      for (const [sensor, number] of sensors.all()) {
        const at = newest.at(number)
        if (at >= 0 && at >= keptSince())
          found.push({ sensor, at, value: newest.value(number), receivedAt: at + newest.delay(number) })
      }
      return found
    },
    // Read hour by hour, no statement is left open in between: readings may be stored while a caller works through.
    *between(from, to) {
      for (let begin = beginOf(Math.max(from, 0), hour); begin < to; begin += hour) {
        const next = stored.nextHour(begin)
        if (next === undefined || next >= to) return
        begin = next
        yield* hourOf(begin, from, to)
      }
    },
  }
}
