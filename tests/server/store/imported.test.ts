import { createHash } from 'node:crypto'
import { cpSync, rmSync } from 'node:fs'
import { join } from 'node:path'
import { expect, it } from 'vitest'
import type { Reading } from '../../../server/ingest/reading.js'
import { openStore, type SqliteStore } from '../../../server/store/sqlite.js'
import { temporaryFolder } from '../../temporary-folder.js'

const start = Date.UTC(2026, 0, 14)
const day = 86_400_000
const sensors = ['a', 'b', 'c']

/** invented readings, `every` ms apart, of a day and a half; `c` has none before the import */
const readings = (every: number, shift: number, of: readonly string[], value: number): Reading[] =>
  of.flatMap(sensor =>
    Array.from({ length: Math.floor((1.5 * day) / every) }, (_, i) => {
      const at = start + shift + i * every
      return { sensor, at, value: value + (i % 40) / 16, receivedAt: at + 1000 }
    }),
  )
const before = readings(120_000, 0, ['a', 'b'], 20)
// every second one is there already, and ends later than all that was there before
const imported = readings(90_000, 30_000, sensors, 30)
const live = readings(300_000, 7_000, ['a'], 21)

/** of everything that can be asked: what readings there are, and how the rest sums up, as one text */
const everything = (store: SqliteStore) => {
  const { readings: all, ...rest } = allOf(store)
  return { count: all.length, sum: createHash('sha256').update(JSON.stringify({ all, rest })).digest('hex') }
}

const allOf = (store: SqliteStore) => ({
  readings: [...store.readings(0, start + 10 * day)].flat(),
  latest: store.latest().sort((a, b) => a.sensor.localeCompare(b.sensor)),
  series: sensors.map(sensor =>
    [10, 30, 150, 2000].map(points => store.series(sensor, start - day, start + 3 * day, points)),
  ),
})

const appendAll = (append: (part: Reading[]) => unknown, all: readonly Reading[]) => {
  for (let i = 0; i < all.length; i += 500) append(all.slice(i, i + 500))
}

const withoutImport = () => {
  const store = openStore(temporaryFolder())
  appendAll(part => store.append(part), before)
  appendAll(part => store.append(part), live)
  while (store.sealSome(start + 10 * day));
  return everything(store)
}

const withImport = (folder: string, sealedBefore: boolean): SqliteStore => {
  const store = openStore(folder, { sealSlice: 1 })
  appendAll(part => store.append(part), before)
  if (sealedBefore) while (store.sealSome(start + 10 * day));
  appendAll(part => store.appendImported(5, part), imported)
  appendAll(part => store.append(part), live)
  return store
}

it.each([true, false])(
  'an import that is taken back leaves no trace, and takes nothing else along (sealed: %s)',
  sealed => {
    const store = withImport(temporaryFolder(), sealed)
    const noted = store.noted(5)
    const added = [...store.readings(0, start + 10 * day)].flat().length - before.length - live.length
    expect(noted!.readings).toBe(added)
    expect(store.latest().find(({ sensor }) => sensor === 'c')).toBeDefined()
    while (store.takeBackSome(5));
    expect(store.noted(5)).toBeNull()
    expect(everything(store)).toEqual(withoutImport())
    store.close()
  },
)

it('goes on where it was when the process was killed, at whatever moment', () => {
  const folder = temporaryFolder()
  const store = withImport(folder, true)
  const expected = withoutImport()
  let copies = 0
  for (let step = 0, more = true; more; step += 1) {
    more = store.takeBackSome(5)
    if (step % 8 !== 4 && more) continue
    // what lies on the disk now is what a killed process leaves
    const killed = join(temporaryFolder(), 'killed')
    cpSync(folder, killed, { recursive: true })
    rmSync(join(killed, 'quiet-iron.lock'), { force: true })
    const again = openStore(killed)
    while (again.takeBackSome(5));
    expect(everything(again)).toEqual(expected)
    again.close()
    copies += 1
  }
  expect(copies).toBeGreaterThan(2)
  store.close()
})

it('is the same after a start anew, and what was taken back can be imported again', () => {
  const folder = temporaryFolder()
  const store = withImport(folder, false)
  while (store.takeBackSome(5));
  store.close()
  const again = openStore(folder)
  expect(everything(again)).toEqual(withoutImport())
  let added = 0
  appendAll(part => {
    added += again.appendImported(9, part).length
  }, imported)
  expect(again.noted(9)!.readings).toBe(added)
  expect(added).toBeGreaterThan(1000)
  again.close()
})
