import { readdirSync, statSync, writeFileSync } from 'node:fs'
import type { AddressInfo } from 'node:net'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { parseShop } from '../../server/shop/parse.js'
import { openStore } from '../../server/store/sqlite.js'
import { temporaryFolder } from '../temporary-folder.js'
import { appFor } from './http/fakes.js'
import { running } from './running.js'
import { smallShop } from './shop/small-shop.js'

const minute = 60_000
const hour = 60 * minute

const ran = async (argv: string[]) => {
  const program = running('server/morning.js', argv, { TZ: 'UTC' })
  const code = await program.ended
  return { code, said: program.said() }
}

/** The database of a service that ran until a moment. */
const database = (end: number) => {
  const folder = temporaryFolder()
  const file = join(folder, 'shop.yaml')
  writeFileSync(file, smallShop)
  const parsed = parseShop(smallShop, file)
  if ('problems' in parsed) throw new Error('the small shop does not parse')
  const { shop } = parsed
  const store = openStore(folder, { shop })
  const readings = []
  for (let at = end - 30 * hour; at <= end; at += minute)
    for (const { id, unit, offset } of shop.sensors)
      readings.push({ sensor: id, at, value: unit === 'state' ? 0 : 20 - offset, receivedAt: at })
  for (let i = 0; i < readings.length; i += 5000) store.append(readings.slice(i, i + 5000))
  store.close()
  return { folder, file }
}

describe('npm run morning', () => {
  it('prints the check of a service that runs', async () => {
    const { app } = await appFor()
    await app.listen({ host: '127.0.0.1', port: 0 })
    const { port } = app.server.address() as AddressInfo
    const found = await ran(['--url', `http://127.0.0.1:${port}/`])
    expect(found).toMatchObject({ code: 0 })
    expect(found.said).toMatch(/^MORNING CHECK {2}Invented shop/)
    expect((await ran(['--port', String(port), '--units', 'inch'])).said).toMatch(/^MORNING CHECK/)
  })

  it('prints it from a database alone, as of its newest reading, and changes nothing in it', async () => {
    // in Chicago a Thursday, 07:30
    const { folder, file } = database(Date.UTC(2026, 0, 15, 13, 30))
    const files = () => readdirSync(folder).map(name => [name, statSync(join(folder, name)).mtimeMs])
    const before = files()
    const found = await ran(['--data', folder, '--shop', file])
    expect(found.said).toMatch(/^MORNING CHECK {2}Small shop \(invented\) +Thu 15 Jan 2026 07:30/)
    expect(found.said).toContain('Wed 18:00 to 07:30')
    expect(found.said).toMatch(/^ Mill A /m)
    expect(found.code).toBe(0)
    const own = (all: ReturnType<typeof files>) => all.filter(([name]) => !/-(shm|wal)$/.test(String(name)))
    expect(own(files())).toEqual(own(before))
  })

  it('says what is wrong and what to do', async () => {
    const { folder, file } = database(Date.UTC(2026, 0, 15, 13, 30))
    const cases: [string[], number, RegExp][] = [
      [['--url', 'http://127.0.0.1:1'], 1, /No service answers at http:\/\/127\.0\.0\.1:1 .*--data FOLDER/],
      [['--url', 'machine-shop'], 2, /--url must begin with http/],
      [['--data', folder], 2, /--data needs --shop FILE/],
      [['--shop', file], 2, /--shop needs --data FOLDER/],
      [['--data', join(folder, 'none'), '--shop', file], 1, /There is no database in .*none/],
      [['--data', folder, '--shop', join(folder, 'none.yaml')], 1, /there is no such file/],
    ]
    for (const [argv, code, said] of cases) {
      const found = await ran(argv)
      expect(found.said, argv.join(' ')).toMatch(said)
      expect(found.code, argv.join(' ')).toBe(code)
    }
    expect((await ran(['--help'])).said).toMatch(/npm run morning -- \[options\]/)
  })
})
