import { readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import Database from 'better-sqlite3'
import { expect, it } from 'vitest'
import type { Reading } from '../../../server/ingest/reading.js'
import { openStore, type SqliteStore } from '../../../server/store/sqlite.js'
import { draws, seedFor } from '../../seed.js'
import { temporaryFolder } from '../../temporary-folder.js'
import { sealed } from './sealed.js'

const hour = 3_600_000
const start = Date.UTC(2024, 0, 15)
const sensors = ['a', 'b', 'c']
const end = start + 30 * hour

/** every minute of 30 hours; the last two hours wait in the journal */
const readings: Reading[] = Array.from({ length: 30 * 60 }, (_, index) =>
  sensors.map((sensor, which): Reading => {
    const at = start + index * 60_000 + which * 1000
    return { sensor, at, value: 20 + ((index * 7 + which * 13) % 97) / 16, receivedAt: at + 40 + (index % 5) }
  }),
).flat()
const waiting = end - 2 * hour

const file = (folder: string) => join(folder, 'quiet-iron.db')
const inFile = <T>(folder: string, use: (db: Database.Database) => T): T => {
  const db = new Database(file(folder))
  const found = use(db)
  db.close()
  return found
}

const filled = (): string => {
  const folder = temporaryFolder()
  const store = openStore(folder)
  store.append(readings.filter(({ at }) => at < waiting))
  sealed(store)
  const late = readings.filter(({ at }) => at >= waiting)
  for (let index = 0; index < late.length; index += 90) store.append(late.slice(index, index + 90))
  store.close()
  // no page is left over that holds a former state of a block
  inFile(folder, db => db.exec('VACUUM'))
  return folder
}

const places = [
  ['reading_blocks', 'data', 'key', 'readings'],
  ['minute_blocks', 'data', 'key', 'minutes'],
  ['quarter_hour_blocks', 'data', 'key', 'quarter hours'],
  ['quarter_hour_blocks', 'hours', 'key', 'hours'],
  ['journal', 'readings', 'id', 'journal'],
  ['newest_readings', 'reading', 'sensor', 'newest'],
] as const

/** what the store gives of everything, by every way there is */
const everything = (store: SqliteStore) => ({
  readings: [...store.readings(0, Number.POSITIVE_INFINITY)].flat(),
  fine: sensors.map(sensor => store.series(sensor, start, end, 5000).points),
  quarterHours: sensors.map(sensor => store.series(sensor, start, end, 100).points),
  hours: sensors.map(sensor => store.series(sensor, start, end, 28).points),
  latest: store.latest(),
})

const keyOf = ({ sensor, at }: Reading) => `${sensor} ${at}`

const flips = 72

it(`each of ${flips} flipped bits in blocks, journal and notes is noticed; what is left is right, and all goes on`, () => {
  const whole = filled()
  const draw = draws(seedFor('flipped bits'))
  const bytes = readFileSync(file(whole))
  const healthy = openStore(whole)
  const before = everything(healthy)
  healthy.close()
  expect(before.readings).toEqual(readings)
  const lost: Record<string, number> = {}
  for (let flip = 0; flip < flips; flip += 1) {
    const [table, column, , kind] = places[flip % places.length]!
    const blobs = inFile(whole, db => db.prepare<[], Buffer>(`SELECT ${column} FROM ${table}`).pluck().all())
    const blob = blobs[Math.floor(draw() * blobs.length)]!
    const place = Math.floor(draw() * blob.length)
    const bit = 1 << Math.floor(draw() * 8)
    const damaged = Buffer.from(bytes)
    let copies = 0
    // a page may also hold, in its unused part, what lay there before
    for (let at = bytes.indexOf(blob); at >= 0; at = bytes.indexOf(blob, at + 1)) {
      damaged[at + place]! ^= bit
      copies += 1
    }
    expect(copies, `${table}.${column} lies in one piece`).toBeGreaterThan(0)
    const folder = temporaryFolder()
    writeFileSync(file(folder), damaged)

    const said: string[] = []
    const store = openStore(folder, { say: text => said.push(text), retention: { readingDays: 1 } })
    while (store.checkSome(end));
    const found = store.damaged()
    expect(found.map(each => each.kind)).toContain(kind)
    expect(said.join('\n')).toMatch(/^Damaged on the disk and set aside/)
    const after = everything(store)
    const isLost = ({ sensor, at: time }: { sensor: string; at: number }) =>
      found.some(d => !d.remade && d.sensor === sensor && time >= d.from && time < d.to)
    // nothing wrong is given; what is not given is named
    const missing = readings.length - after.readings.length
    lost[kind] = (lost[kind] ?? 0) + missing
    const given = new Map(after.readings.map(reading => [keyOf(reading), reading]))
    for (const reading of readings) {
      const back = given.get(keyOf(reading))
      if (back ? back.value !== reading.value || back.receivedAt !== reading.receivedAt : !isLost(reading))
        expect.fail(`${keyOf(reading)} is ${JSON.stringify(back)} instead of ${JSON.stringify(reading)}`)
    }
    if (kind === 'readings') expect(missing).toBe(60)
    else if (kind === 'journal') expect(missing).toBe(90)
    else expect(after).toEqual(before)
    if (kind !== 'journal') expect(after.hours).toEqual(before.hours)

    // it goes on: what is sent again is taken, sealed, exported; retention deletes
    const again = store.append(readings.filter(({ at: time }) => time >= waiting - hour))
    expect(again.length).toBeLessThanOrEqual(missing)
    sealed(store)
    expect(store.pruneSome(start + 25 * hour, Number.POSITIVE_INFINITY)).toBeGreaterThan(0)
    const names = store.damaged()
    store.close()
    const reopened = openStore(folder)
    expect(reopened.damaged()).toEqual(names)
    expect([...reopened.readings(start + hour, Number.POSITIVE_INFINITY)].flat().length).toBeGreaterThanOrEqual(
      3 * 29 * 60 - missing,
    )
    reopened.close()
  }
  console.log(`readings lost by kind of what was damaged, of ${readings.length} each time: ${JSON.stringify(lost)}`)
})

it('blocks and groups that were written before there were checksums are read as they are', () => {
  const folder = filled()
  inFile(folder, db => {
    for (const [table, column, key] of places)
      for (const row of db
        .prepare<[], { key: number; blob: Buffer }>(`SELECT ${key} AS key, ${column} AS blob FROM ${table}`)
        .all()) {
        const bare = table === 'newest_readings' ? row.blob.subarray(1, -4) : row.blob.subarray(0, -4)
        if (table !== 'newest_readings') bare[0] = 1
        db.prepare(`UPDATE ${table} SET ${column} = ? WHERE ${key} = ?`).run(bare, row.key)
      }
  })
  const store = openStore(folder)
  while (store.checkSome(end));
  expect(store.damaged()).toEqual([])
  expect(everything(store).readings).toEqual(readings)
  sealed(store)
  expect(everything(store).readings).toEqual(readings)
  store.close()
})

it('a whole block in the place of another is noticed', () => {
  const folder = filled()
  inFile(folder, db => {
    const keys = db.prepare<[], number>('SELECT key FROM reading_blocks ORDER BY key').pluck().all()
    db.prepare('UPDATE reading_blocks SET data = (SELECT data FROM reading_blocks WHERE key = ?) WHERE key = ?').run(
      keys[0],
      keys[1],
    )
  })
  const store = openStore(folder)
  expect([...store.readings(0, Number.POSITIVE_INFINITY)].flat()).toHaveLength(readings.length - 60)
  expect(store.damaged()).toMatchObject([
    { kind: 'readings', sensor: 'b', from: start, to: start + hour, remade: false },
  ])
  store.close()
})
