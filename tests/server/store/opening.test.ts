import { createHash } from 'node:crypto'
import { closeSync, mkdirSync, openSync, readFileSync, statSync, truncateSync, writeFileSync, writeSync } from 'node:fs'
import { join } from 'node:path'
import Database from 'better-sqlite3'
import { expect, it } from 'vitest'
import { openStore, StoreError } from '../../../server/store/sqlite.js'
import { temporaryFolder } from '../../temporary-folder.js'

const start = Date.UTC(2024, 0, 15)
const file = (folder: string) => join(folder, 'quiet-iron.db')
const hash = (folder: string) =>
  createHash('sha256')
    .update(readFileSync(file(folder)))
    .digest('hex')

const filled = (): string => {
  const folder = temporaryFolder()
  const store = openStore(folder)
  store.append(
    Array.from({ length: 20_000 }, (_, index) => {
      const at = start + index * 1000
      return { sensor: `s${index % 7}`, at, value: index, receivedAt: at }
    }),
  )
  store.close()
  return folder
}

const refusedUnchanged = (folder: string, words: RegExp): void => {
  const before = hash(folder)
  for (let attempt = 0; attempt < 2; attempt += 1) {
    let error: unknown
    try {
      openStore(folder).close()
    } catch (thrown) {
      error = thrown
    }
    expect(error).toBeInstanceOf(StoreError)
    expect((error as Error).message).toMatch(words)
    expect((error as Error).message).toContain(file(folder))
    expect(hash(folder)).toBe(before)
  }
}

it('makes the folder it is given, with folders on the way', () => {
  const folder = join(temporaryFolder(), 'a', 'b')
  openStore(folder).close()
  expect(statSync(file(folder)).isFile()).toBe(true)
})

it('is in WAL mode and waits for the disk at each commit', () => {
  const folder = filled()
  const db = new Database(file(folder), { readonly: true })
  expect(db.pragma('journal_mode', { simple: true })).toBe('wal')
  db.close()
})

it('a file that is no database is refused and left alone', () => {
  const folder = temporaryFolder()
  writeFileSync(file(folder), 'This is a letter to the shop, not a database. '.repeat(100))
  refusedUnchanged(folder, /damaged/)
})

it('a database with bytes overwritten in the middle is refused and left alone', () => {
  const folder = filled()
  const handle = openSync(file(folder), 'r+')
  writeSync(handle, Buffer.alloc(8192, 0x5a), 0, 8192, 100 * 1024)
  closeSync(handle)
  refusedUnchanged(folder, /damaged/)
})

it('a database cut short is refused and left alone', () => {
  const folder = filled()
  truncateSync(file(folder), Math.floor(statSync(file(folder)).size / 2))
  refusedUnchanged(folder, /damaged/)
})

it('a database of a newer version is refused and left alone', () => {
  const folder = filled()
  const db = new Database(file(folder))
  db.pragma('user_version = 999')
  db.close()
  refusedUnchanged(folder, /newer version.*999/)
})

it('a database with a row for each reading, as only development had, is refused and left alone', () => {
  const folder = filled()
  const db = new Database(file(folder))
  db.pragma('user_version = 4')
  db.close()
  refusedUnchanged(folder, /while the service was developed \(its version is 4, this program knows 5/)
})

it('a database that version 17 made opens with all that it holds', async () => {
  const folder = temporaryFolder()
  const db = new Database(file(folder))
  db.pragma('journal_mode = WAL')
  db.exec(readFileSync(join(import.meta.dirname, 'version-17.sql'), 'utf8'))
  db.close()
  const said: string[] = []
  const store = openStore(folder, { say: text => said.push(text) })
  const at = Date.UTC(2026, 0, 12, 6)
  const screw = Array.from({ length: 71 }, (_, i) => ({ sensor: 'screw', at: at + i * 60_000, value: 20 + i / 16 }))
  const readings = [...store.readings(0, at * 2)].flat().map(({ receivedAt: _, ...reading }) => reading)
  expect(readings).toEqual([...screw, { ...screw[70]!, sensor: 'bed' }])
  const hours = store.series('screw', at, at + 2 * 3_600_000, 1).points
  expect(hours.map(({ count }) => count)).toEqual([60, 11])
  expect(await store.facts.of('datum')).toMatchObject([{ machine: 'mill-1', at, temperatures: { bed: 20.5 } }])
  const parts = []
  for await (const together of store.inspections.of()) parts.push(...together)
  expect(parts).toMatchObject([{ import: 2, part: 'Plate', serial: '7', measured: 0.100004, tool: '' }])
  expect(await store.refusals()).toMatchObject({ counts: [{ reason: 'not a number', count: 1 }] })
  expect(said).toEqual([])
  store.close()
})

it('a database of another program is refused and left alone', () => {
  const folder = temporaryFolder()
  const db = new Database(file(folder))
  db.exec('CREATE TABLE letters (text TEXT)')
  db.close()
  refusedUnchanged(folder, /some other program/)
})

it('a folder in use is refused, and free again when the store is closed', () => {
  const folder = temporaryFolder()
  const store = openStore(folder)
  expect(() => openStore(folder)).toThrow(/in use by another running service/)
  store.append([{ sensor: 'a', at: start, value: 20, receivedAt: start }])
  store.close()
  const again = openStore(folder)
  expect(again.latest()).toHaveLength(1)
  again.close()
})

it('a folder that cannot be made says so', () => {
  const folder = temporaryFolder()
  writeFileSync(join(folder, 'taken'), '')
  expect(() => openStore(join(folder, 'taken', 'data'))).toThrow(StoreError)
  expect(() => openStore(join(folder, 'taken', 'data'))).toThrow(/cannot be opened/)
})

it('an empty file, as a full disk leaves one, becomes a new database', () => {
  const folder = temporaryFolder()
  mkdirSync(folder, { recursive: true })
  writeFileSync(file(folder), '')
  openStore(folder).close()
})

it('closing twice does no harm', () => {
  const store = openStore(temporaryFolder())
  store.close()
  store.close()
})
