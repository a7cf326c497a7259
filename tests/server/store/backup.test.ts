import { spawn, spawnSync } from 'node:child_process'
import { once } from 'node:events'
import { copyFileSync, readdirSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { expect, it, onTestFinished } from 'vitest'
import { backUp } from '../../../server/store/backup.js'
import { openStore } from '../../../server/store/sqlite.js'
import { eventually } from '../../eventually.js'
import { temporaryFolder } from '../../temporary-folder.js'
import { readingNumber, start } from './numbered.js'
import { sealed } from './sealed.js'

const file = (folder: string) => join(folder, 'quiet-iron.db')
const numbers = (count: number) => Array.from({ length: count }, (_, number) => readingNumber(number))
const inOrder = (count: number) => numbers(count).sort((a, b) => a.at - b.at)

const command = (...args: string[]) =>
  spawnSync(process.execPath, ['dist/server/backup.js', ...args], { encoding: 'utf8' })

it('while a service writes and seals, the command makes a checked copy; restored, it holds all that was stored by then', async () => {
  const data = temporaryFolder()
  const program = join(import.meta.dirname, 'seal-process.ts')
  const service = spawn(process.execPath, ['--import', 'tsx', program, data, '0'], {
    stdio: ['ignore', 'pipe', 'inherit'],
  })
  onTestFinished(() => {
    service.kill('SIGKILL')
  })
  let said = ''
  service.stdout.on('data', (bytes: Buffer) => {
    said += bytes.toString()
  })
  const count = () => Number([...said.matchAll(/^(\d+)$/gm)].at(-1)?.[1] ?? 0)
  await eventually(() => expect(count()).toBeGreaterThan(20_000))
  const before = count()
  const to = join(temporaryFolder(), 'copies', 'monday.db')
  const backup = spawn(process.execPath, ['dist/server/backup.js', '--data', data, '--to', to])
  let answer = ''
  for (const stream of [backup.stdout, backup.stderr])
    stream.on('data', (bytes: Buffer) => {
      answer += bytes.toString()
    })
  const [code] = await once(backup, 'close')
  expect(answer).toMatch(
    /monday\.db: [\d.]+ MB in [\d.]+ s, checked\n(\d+) readings of 23 sensors, the newest of 2024-/,
  )
  expect(code).toBe(0)
  const told = Number(/(\d+) readings/.exec(answer)?.[1])
  // it went on meanwhile
  await eventually(() => expect(count()).toBeGreaterThan(told))
  service.kill('SIGKILL')
  expect(told).toBeGreaterThanOrEqual(before)
  expect(statSync(to).mode & 0o777).toBe(0o600)
  expect(readdirSync(join(to, '..'))).toEqual(['monday.db'])

  // as the handbook says: an empty folder, the copy in it under the database's name
  const restored = temporaryFolder()
  copyFileSync(to, file(restored))
  const words: string[] = []
  const store = openStore(restored, { say: text => words.push(text) })
  expect(words).toEqual([])
  expect([...store.readings(0, Number.POSITIVE_INFINITY)].flat()).toEqual(inOrder(told))
  expect(store.append(numbers(told + 10))).toHaveLength(10)
  sealed(store)
  expect([...store.readings(0, Number.POSITIVE_INFINITY)].flat()).toEqual(inOrder(told + 10))
  store.close()
})

it('says what stands in the way, and leaves no file', async () => {
  const [data, elsewhere] = [temporaryFolder(), temporaryFolder()]
  const to = join(elsewhere, 'copy.db')
  expect(command('--help').stdout).toMatch(/--to FILE[\s\S]*--data FOLDER[\s\S]*To restore/)
  expect(command('--data', data)).toMatchObject({ status: 2, stderr: expect.stringMatching(/--to is needed/) })
  expect(command('--data', data, '--to', to)).toMatchObject({
    status: 1,
    stderr: expect.stringMatching(/There is no database .*--data/),
  })
  writeFileSync(file(data), 'This is a letter to the shop, not a database. '.repeat(100))
  await expect(backUp(data, to, () => {})).rejects.toThrow(/is damaged/)
  rmSync(file(data))
  openStore(data).close()
  writeFileSync(to, 'older')
  await expect(backUp(data, to, () => {})).rejects.toThrow(/is there already/)
  expect(readFileSync(to, 'utf8')).toBe('older')
  expect(readdirSync(elsewhere)).toEqual(['copy.db'])
})

it('a copy of the file alone, made while the service runs, is known as one that lacks readings', () => {
  const data = temporaryFolder()
  const store = openStore(data)
  store.append(numbers(500))
  const alone = temporaryFolder()
  copyFileSync(file(data), file(alone))
  const both = temporaryFolder()
  for (const end of ['', '-wal']) copyFileSync(file(data) + end, file(both) + end)
  store.close()
  const after = temporaryFolder()
  copyFileSync(file(data), file(after))
  const opened = (folder: string) => {
    const words: string[] = []
    const copy = openStore(folder, { say: text => words.push(text) })
    const count = [...copy.readings(0, Number.POSITIVE_INFINITY)].flat().length
    copy.close()
    return { words, count }
  }
  expect(opened(alone)).toEqual({
    count: 0,
    words: [
      expect.stringMatching(
        /without its companion quiet-iron\.db-wal.*readings and entries are missing.*npm run backup/,
      ),
    ],
  })
  expect(opened(both)).toEqual({ count: 500, words: [] })
  expect(opened(after)).toEqual({ count: 500, words: [] })
  // said once: from now on it is a database of its own
  expect(opened(alone).words).toEqual([])
})

it('a database that is missing or empty where one was is not replaced by an empty one', () => {
  const data = temporaryFolder()
  const store = openStore(data)
  store.append(numbers(5))
  store.close()
  copyFileSync(file(data), join(data, 'friday.db'))
  for (const lose of [() => rmSync(file(data)), () => writeFileSync(file(data), '')]) {
    lose()
    expect(() => openStore(data)).toThrow(
      /missing or empty, though one was here since \d{4}-.*friday\.db.*Put it back.*begin with an empty one instead, delete .*quiet-iron\.id/,
    )
  }
  copyFileSync(join(data, 'friday.db'), file(data))
  const again = openStore(data)
  expect([...again.readings(start, Number.POSITIVE_INFINITY)].flat()).toHaveLength(5)
  again.close()
  // another database in its place is taken, and said
  const other = temporaryFolder()
  openStore(other).close()
  copyFileSync(file(other), file(data))
  const words: string[] = []
  openStore(data, { say: text => words.push(text) }).close()
  expect(words).toEqual([expect.stringMatching(/another one than at the last start/)])
})

it('only the owner may read the files, also those that were there before', () => {
  const folder = join(temporaryFolder(), 'data')
  const store = openStore(folder)
  const modes = () =>
    Object.fromEntries(readdirSync(folder).map(name => [name, (statSync(join(folder, name)).mode & 0o777).toString(8)]))
  expect(modes()).toEqual({
    'quiet-iron.db': '600',
    'quiet-iron.db-shm': '600',
    'quiet-iron.db-wal': '600',
    'quiet-iron.id': '600',
    'quiet-iron.lock': '600',
  })
  expect((statSync(folder).mode & 0o777).toString(8)).toBe('700')
  store.close()
  const old = temporaryFolder()
  writeFileSync(file(old), readFileSync(file(folder)), { mode: 0o644 })
  openStore(old).close()
  expect((statSync(file(old)).mode & 0o777).toString(8)).toBe('600')
})
