import { spawn, spawnSync } from 'node:child_process'
import { once } from 'node:events'
import {
  closeSync,
  copyFileSync,
  mkdtempSync,
  openSync,
  readdirSync,
  renameSync,
  rmSync,
  statSync,
  writeSync,
} from 'node:fs'
import { join } from 'node:path'
import Database from 'better-sqlite3'
import { expect, it, onTestFinished, vi } from 'vitest'
import { openStore } from '../../../server/store/sqlite.js'
import { until } from '../../eventually.js'
import { startMosquitto } from '../../mosquitto.js'
import { temporaryFolder } from '../../temporary-folder.js'
import { sealed } from '../store/sealed.js'
import { type ShopInTrouble, shop, shopInTrouble } from './shop-in-trouble.js'

const broker = async () => {
  const mosquitto = await startMosquitto()
  onTestFinished(() => mosquitto.remove())
  return mosquitto
}

/** Reports until the service says that it cannot store; then the trouble ends, and nothing of it may be missing. */
const throughTrouble = async (watched: ShopInTrouble, trouble: RegExp, end: () => void | Promise<void>) => {
  let reports = watched.stored() / shop.sensors.length
  for (let number = 0; number < 5; number += 1) {
    await watched.report()
    reports += 1
  }
  const health = await until(watched.health, ({ reasons }) => reasons.some(reason => trouble.test(reason)))
  expect(health).toMatchObject({ code: 503, status: 'unwell' })
  await until(watched.banner, kind => kind === 'unstored')
  const metrics = await until(
    async () => (await fetch(`${watched.service.url}/metrics`)).text(),
    text => Number(/what="failed commits"} (\d+)/.exec(text)?.[1]) > 0,
  )
  expect(metrics).toMatch(/^quiet_iron_storing 0$/m)
  // what can still be answered is answered
  expect((await fetch(`${watched.service.url}/api/machines`)).status).toBe(200)
  const said = watched.lines.filter(line => line.startsWith('Readings cannot be stored'))
  expect(said).toHaveLength(1)
  expect(said[0]).toMatch(trouble)
  await end()
  await until(watched.stored, count => count === reports * shop.sensors.length)
  await until(watched.health, ({ code }) => code === 200)
  expect(watched.banner()).toBeNull()
  expect(watched.lines.filter(line => line.startsWith('Readings are stored again'))).toHaveLength(1)
}

/** A disk of two megabytes; null where the system does not let us mount one. */
const smallDisk = (): string | null => {
  const folder = temporaryFolder()
  if (spawnSync('mount', ['-t', 'tmpfs', '-o', 'size=2m', 'none', folder]).status !== 0) return null
  onTestFinished(() => {
    spawnSync('umount', ['-l', folder])
  })
  return folder
}

it('disk full: said with its remedy, kept at the broker, stored when there is room again', async () => {
  const disk = smallDisk()
  if (!disk) console.warn('no disk could be mounted (that needs root): the error of a full disk is injected instead')
  const { url } = await broker()
  const watched = await shopInTrouble({ broker: url, ...(disk ? { data: disk } : {}) })
  await watched.report()
  await until(watched.stored, count => count === shop.sensors.length)
  if (!disk) {
    const full = Object.assign(new Error('database or disk is full'), { code: 'SQLITE_FULL' })
    const append = vi.spyOn(watched.service.store, 'append').mockImplementation(() => {
      throw full
    })
    await throughTrouble(watched, /disk is full.*Make room/, () => append.mockRestore())
    return
  }
  const filler = join(disk, 'filler')
  const handle = openSync(filler, 'w')
  // what is freed within the database's own files is taken as well
  const fill = () => {
    for (const size of [65_536, 4096, 512])
      try {
        for (;;) writeSync(handle, Buffer.alloc(size, 1))
      } catch (error) {
        expect((error as NodeJS.ErrnoException).code).toBe('ENOSPC')
      }
  }
  fill()
  await throughTrouble(watched, /(disk is full|disk does not do).*(room)/, () => {
    closeSync(handle)
    rmSync(filler)
  })
})

it('database held by another program: said, kept at the broker, stored when it lets go', async () => {
  const { url } = await broker()
  const data = temporaryFolder()
  const watched = await shopInTrouble({ broker: url, data })
  await watched.report()
  await until(watched.stored, count => count === shop.sensors.length)
  const program = join(import.meta.dirname, 'hold-database.ts')
  const holder = spawn(process.execPath, ['--import', 'tsx', program, join(data, 'quiet-iron.db')], {
    stdio: ['pipe', 'pipe', 'inherit'],
  })
  onTestFinished(() => {
    holder.kill('SIGKILL')
  })
  await once(holder.stdout, 'data')
  await throughTrouble(watched, /another program holds the database.*End the program/, () => {
    holder.stdin.end()
  })
})

it('damage met while running: said with what to do, the service stays, nothing is acknowledged', async () => {
  const { url } = await broker()
  const watched = await shopInTrouble({ broker: url })
  await watched.report()
  await until(watched.stored, count => count === shop.sensors.length)
  // injected, since where a commit meets a damaged page depends on what lies in memory
  const damage = Object.assign(new Error('database disk image is malformed'), { code: 'SQLITE_CORRUPT' })
  const append = vi.spyOn(watched.service.store, 'append').mockImplementation(() => {
    throw damage
  })
  await throughTrouble(watched, /database is damaged.*set the data folder aside \(keep it/, () => append.mockRestore())
})

it('a page of history that is damaged is answered with what to do, and everything else goes on', async () => {
  const { url } = await broker()
  const data = temporaryFolder()
  const day = 86_400_000
  const now = Date.now()
  const filled = openStore(data)
  for (let ago = 40; ago > 0; ago -= 1)
    filled.append(
      Array.from({ length: 2000 }, (_, index) => {
        const at = now - ago * day + index * 40_000
        return { sensor: 's-air', at, value: 20 + (index % 50) / 16, receivedAt: at }
      }),
    )
  // as it lies on the disk once the service has had the time
  sealed(filled)
  filled.close()
  const watched = await shopInTrouble({ broker: url, data })
  const file = join(data, 'quiet-iron.db')
  const size = statSync(file).size
  const handle = openSync(file, 'r+')
  writeSync(handle, Buffer.alloc(size - 8192, 0x5a), 0, size - 8192, 8192)
  closeSync(handle)
  const statuses = new Set<number>()
  for (let ago = 40; ago > 5; ago -= 1) {
    const span = `from=${now - ago * day}&to=${now - (ago - 1) * day}`
    const reply = await fetch(`${watched.service.url}/api/series?sensors=s-air&${span}&points=5000`)
    statuses.add(reply.status)
    const body = await reply.json()
    if (reply.status !== 200)
      expect(body.error).toMatchObject({
        what: expect.stringMatching(/damaged/),
        remedy: expect.stringMatching(/aside/),
      })
  }
  expect([...statuses].filter(status => status !== 200)).toEqual([503])
  expect((await fetch(`${watched.service.url}/api/machines`)).status).toBe(200)
  await watched.service.stop()
  expect(() => openStore(data)).toThrow(/damaged.*left as it is.*Keep it/)
})

const databaseFiles = (folder: string) => readdirSync(folder).filter(name => /^quiet-iron\.db/.test(name))

it('database moved away while running: said, kept at the broker, stored when it is back', async () => {
  const { url } = await broker()
  const data = temporaryFolder()
  const watched = await shopInTrouble({ broker: url, data })
  await watched.report()
  await until(watched.stored, count => count === shop.sensors.length)
  const away = mkdtempSync(join(data, 'away-'))
  const names = databaseFiles(data)
  for (const name of names) renameSync(join(data, name), join(away, name))
  // noticed also when nothing is to be stored
  const health = await until(watched.health, ({ code }) => code === 503)
  expect(health.reasons.join()).toMatch(/quiet-iron\.db was deleted or moved while the service runs/)
  await throughTrouble(watched, /was deleted or moved/, () => {
    for (const name of names) renameSync(join(away, name), join(data, name))
  })
})

it.each([
  [
    'deleted',
    (data: string) =>
      databaseFiles(data).forEach(name => {
        rmSync(join(data, name))
      }),
  ],
  ['deleted with its folder', (data: string) => rmSync(data, { recursive: true })],
  [
    'replaced',
    (data: string) => {
      copyFileSync(join(data, 'quiet-iron.db'), join(data, 'other'))
      renameSync(join(data, 'other'), join(data, 'quiet-iron.db'))
    },
  ],
])(
  'database %s while running: what it held is saved, and nothing is acknowledged that is not stored',
  async (_, lose) => {
    const { url } = await broker()
    const data = join(temporaryFolder(), 'data')
    const watched = await shopInTrouble({ broker: url, data })
    for (let number = 0; number < 3; number += 1) await watched.report()
    await until(watched.stored, count => count === 3 * shop.sensors.length)
    lose(data)
    await watched.report()
    const health = await until(watched.health, ({ reasons }) => /What it held is saved as/.test(reasons.join()))
    expect(health).toMatchObject({ code: 503, status: 'unwell' })
    expect(watched.banner()).toBe('unstored')
    await watched.report()
    await watched.service.stop()
    const saved = readdirSync(data).filter(name => /^quiet-iron\.rescued-.*\.db$/.test(name))
    expect(saved).toHaveLength(1)
    // as it says: the folder seen to, that file in the database's place
    for (const name of databaseFiles(data)) rmSync(join(data, name))
    renameSync(join(data, saved[0]!), join(data, 'quiet-iron.db'))
    const again = await shopInTrouble({ broker: url, data })
    await until(again.stored, count => count === 5 * shop.sensors.length)
  },
  120_000,
)

it('a damaged block of history and a sensor that the shop file does not know are named at the start, and nothing stops', async () => {
  const { url } = await broker()
  const data = temporaryFolder()
  const hour = 3_600_000
  const begin = Math.floor(Date.now() / hour) * hour - 5 * hour
  const filled = openStore(data)
  for (const sensor of ['s-air', 's-gone'])
    filled.append(
      Array.from({ length: 180 }, (_, index) => ({ sensor, at: begin + index * 60_000, value: 20, receivedAt: begin })),
    )
  sealed(filled)
  filled.close()
  const db = new Database(join(data, 'quiet-iron.db'))
  const row = db.prepare<[], { key: number; data: Buffer }>('SELECT key, data FROM reading_blocks ORDER BY key').get()!
  row.data[10]! ^= 4
  db.prepare('UPDATE reading_blocks SET data = ? WHERE key = ?').run(row.data, row.key)
  db.close()
  const watched = await shopInTrouble({ broker: url, data })
  const answer = await until(
    async () => (await fetch(`${watched.service.url}/api/store`)).json(),
    ({ damaged }) => damaged.length > 0,
  )
  expect(answer).toMatchObject({
    damaged: [{ kind: 'readings', sensor: 's-air', from: begin, to: begin + hour, remade: false }],
    unclaimed: { sensors: ['s-gone'], machines: [], workClasses: [] },
  })
  expect(watched.lines.join('\n')).toMatch(/Damaged on the disk and set aside: readings of s-air, from/)
  expect(watched.lines.join('\n')).toMatch(/history of what the shop file does not know: sensors s-gone.*formerly:/)
  await watched.report()
  await until(watched.stored, count => count === 300 + shop.sensors.length)
})
