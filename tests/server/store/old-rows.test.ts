import { spawn } from 'node:child_process'
import { once } from 'node:events'
import { join } from 'node:path'
import { setTimeout as pause } from 'node:timers/promises'
import Database from 'better-sqlite3'
import { expect, it, onTestFinished, vi } from 'vitest'
import { openStore } from '../../../server/store/sqlite.js'
import { draws, seedFor } from '../../seed.js'
import { temporaryFolder } from '../../temporary-folder.js'
import { onDisk, summaries, widths } from './sealed.js'

const hour = 3_600_000
const start = Date.UTC(2024, 0, 15)
const count = 400_000

/** a database whose readings and summaries lie in rows, one for each, as the first version wrote them */
const ofRows = (): string => {
  const folder = temporaryFolder()
  openStore(folder).close()
  const db = new Database(join(folder, 'quiet-iron.db'))
  db.exec(`INSERT INTO sensors (name) VALUES ('a'), ('b');
    INSERT INTO readings SELECT 1 + value % 2, ${start} + value * 1000, (value % 999) / 16.0, 25 FROM
      (WITH RECURSIVE c(value) AS (SELECT 0 UNION ALL SELECT value + 1 FROM c WHERE value < ${count - 1}) SELECT value FROM c);`)
  for (const [table, width] of [
    ['minutes', 60_000],
    ['quarter_hours', 900_000],
  ])
    db.exec(`INSERT INTO ${table} SELECT sensor, at - at % ${width}, count(*), sum(value), min(value), max(value)
      FROM readings GROUP BY 1, 2`)
  db.close()
  return folder
}

const rowsLeft = (folder: string): number => {
  const db = new Database(join(folder, 'quiet-iron.db'), { readonly: true })
  const left = db
    .prepare<[], number>(
      'SELECT (SELECT count(*) FROM readings) + (SELECT count(*) FROM minutes) + (SELECT count(*) FROM quarter_hours)',
    )
    .pluck()
    .get()
  db.close()
  return left ?? 0
}

it('the rows of an early version become blocks when it is opened; a process killed in between loses and doubles none', async () => {
  const folder = ofRows()
  const all = rowsLeft(folder)
  const draw = draws(seedFor('kills while rows are moved'))
  let inTheMiddle = 0
  for (let kill = 0; kill < 4 && rowsLeft(folder) > 0; kill += 1) {
    const program = join(import.meta.dirname, 'open-process.ts')
    const child = spawn(process.execPath, ['--import', 'tsx', program, folder], {
      stdio: ['ignore', 'pipe', 'inherit'],
    })
    onTestFinished(() => {
      child.kill('SIGKILL')
    })
    let said = ''
    child.stdout.on('data', (bytes: Buffer) => {
      said += bytes.toString()
    })
    const closed = once(child, 'close')
    await vi.waitFor(() => expect(said).toMatch(/early version/), { timeout: 20_000, interval: 2 })
    await pause(200 + draw() * 200)
    child.kill('SIGKILL')
    await closed
    const left = rowsLeft(folder)
    if (left > 0 && left < all) inTheMiddle += 1
  }
  expect(inTheMiddle).toBeGreaterThan(0)
  const store = openStore(folder)
  expect(rowsLeft(folder)).toBe(0)
  expect(onDisk(folder).sealed).toBe(count)
  let index = 0
  for (const { sensor, at, value, receivedAt } of [...store.readings(0, Number.POSITIVE_INFINITY)].flat()) {
    const right = at === start + index * 1000 && value === (index % 999) / 16 && receivedAt === at + 25
    if (!right || sensor !== (index % 2 ? 'b' : 'a')) expect.fail(`reading ${index} is ${sensor} ${at} ${value}`)
    index += 1
  }
  expect(index).toBe(count)
  const end = start + count * 1000
  for (const width of widths) {
    const { kept, anew } = summaries(store, folder, width, [start, start + Math.ceil((end - start) / hour) * hour])
    expect(kept).toEqual(anew)
  }
  expect(store.latest().map(({ at }) => at)).toEqual([end - 2000, end - 1000])
  // what is sent again is known
  expect(store.append([...store.readings(end - hour, end)].flat())).toEqual([])
  store.close()
}, 60_000)
