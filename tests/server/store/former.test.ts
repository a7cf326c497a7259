import { join } from 'node:path'
import Database from 'better-sqlite3'
import { describe, expect, it } from 'vitest'
import type { Shop } from '../../../core/shop.js'
import type { Reading } from '../../../server/ingest/reading.js'
import { parseShop } from '../../../server/shop/parse.js'
import { unclaimedWords } from '../../../server/store/known-shop.js'
import { openReader } from '../../../server/store/reader.js'
import { openStore, type SqliteStore, StoreError } from '../../../server/store/sqlite.js'
import { temporaryFolder } from '../../temporary-folder.js'
import { changed, smallShop } from '../shop/small-shop.js'
import { sealed } from './sealed.js'

const hour = 3_600_000
const start = Date.UTC(2024, 0, 15)

const shopOf = (text: string): Shop => {
  const parsed = parseShop(text, 'shop.yaml')
  if ('problems' in parsed) throw new Error(JSON.stringify(parsed.problems))
  return parsed.shop
}
const before = shopOf(smallShop)
/** the same shop, in which a sensor, the machine and a work class have other ids */
const renamed = (keys: boolean): string =>
  smallShop
    .replace('  a-screw: { topic', `  x-screw: { ${keys ? 'formerly: a-screw, ' : ''}topic`)
    .replace('  bores: { name: Bores,', `  holes: { ${keys ? 'formerly: [bores], ' : ''}name: Bores,`)
    .replace('  mill-a:\n', `  mill-north:\n${keys ? '    formerly: [mill-a]\n' : ''}`)
    .replaceAll('mill-a/', 'mill-north/')
const unclaimed = shopOf(renamed(false))
const after = shopOf(renamed(true))

const readings = (sensor: string, from: number, count: number, every = 60_000): Reading[] =>
  Array.from({ length: count }, (_, index) => {
    const at = from + index * every
    return { sensor, at, value: 20 + ((at / 60_000) % 32) / 16, receivedAt: at + 20 }
  })
const verdict = (machine: string, workClass: string, at: number) => ({
  machine,
  workClass,
  at,
  verdict: 'fit' as const,
  thermalErrorIndex: 12,
  reason: null,
})
const datum = (machine: string, at: number) => ({ machine, at, by: 'R. Iron', note: '', temperatures: { screw: 20.5 } })
const trust = (sensor: string, at: number) => ({
  sensor,
  at,
  trust: 'lost' as const,
  since: at,
  fault: { kind: 'gone' as const, why: 'its gateway said so' },
  basis: null,
})

const filled = async (): Promise<string> => {
  const folder = temporaryFolder()
  const store = openStore(folder, { shop: before })
  store.append(readings('a-screw', start, 180))
  sealed(store)
  store.append(readings('a-screw', start + 3 * hour, 30))
  await store.facts.record('verdict', [verdict('mill-a', 'bores', start), verdict('mill-a', 'plates', start + 1)])
  await store.facts.record('datum', [datum('mill-a', start)])
  await store.facts.record('trust', [trust('a-screw', start)])
  store.close()
  return folder
}

const at = (all: { at: number }[]) => all.map(each => each.at)
const history = async (store: Pick<SqliteStore, 'readings' | 'series' | 'facts'>) => ({
  readings: [...store.readings(0, Number.POSITIVE_INFINITY)].flat(),
  hours: store.series('x-screw', start, start + 6 * hour, 4).points.map(({ count }) => count),
  verdicts: await store.facts.of('verdict', { subject: 'mill-north' }),
  standing: await store.facts.newest('verdict'),
  datums: at(await store.facts.of('datum', { subject: 'mill-north' })),
  trust: await store.facts.of('trust', { subject: 'x-screw' }),
})

describe('a shop whose ids changed', () => {
  it('is told at the start what is stored under ids that it does not know, with the remedy', async () => {
    const folder = await filled()
    const store = openStore(folder, { shop: unclaimed })
    expect(store.unclaimed()).toEqual({ sensors: ['a-screw'], machines: ['mill-a'], workClasses: ['bores'] })
    expect(unclaimedWords(store.unclaimed())).toMatch(/sensors a-screw; machines mill-a; work classes bores.*formerly:/)
    expect(store.series('x-screw', start, start + 6 * hour, 4).points).toEqual([])
    store.close()
    const told = openStore(folder, { shop: after })
    expect(told.unclaimed()).toEqual({ sensors: [], machines: [], workClasses: [] })
    expect(unclaimedWords(told.unclaimed())).toBeNull()
    told.close()
  })

  it('finds readings, verdicts, datums and what was found of sensors under the former ids, and goes on from them', async () => {
    const folder = await filled()
    const store = openStore(folder, { shop: after })
    const old = readings('x-screw', start, 210)
    expect(await history(store)).toMatchObject({
      readings: old,
      hours: [60, 60, 60, 30],
      verdicts: [verdict('mill-north', 'holes', start), verdict('mill-north', 'plates', start + 1)],
      standing: [verdict('mill-north', 'holes', start), verdict('mill-north', 'plates', start + 1)],
      datums: [start],
      trust: [trust('x-screw', start)],
    })
    expect(store.latest()).toEqual([old.at(-1)])
    // what the broker sends again is known, also under the new id; what is new stands beside it in the same hour
    const fresh = readings('x-screw', start + 3.5 * hour, 60)
    expect(store.append([...old, ...fresh])).toEqual(fresh)
    await store.facts.record('verdict', [verdict('mill-north', 'holes', start + 2)])
    await store.facts.record('datum', [datum('mill-north', start + 2)])
    const expected = {
      readings: [...old, ...fresh],
      hours: [60, 60, 60, 60, 30],
      standing: [verdict('mill-north', 'plates', start + 1), verdict('mill-north', 'holes', start + 2)],
      datums: [start, start + 2],
    }
    expect(await history(store)).toMatchObject(expected)
    sealed(store)
    expect(await history(store)).toMatchObject(expected)
    // and so does the thread for heavy work
    const reader = openReader(folder, after)
    expect(await history(reader)).toMatchObject(expected)
    reader.close()
    store.close()
    // nothing was rewritten: without the key, each id has its own again
    const apart = openStore(folder, { shop: unclaimed })
    expect(await history(apart)).toMatchObject({ hours: [15, 15, 15, 15], datums: [start + 2] })
    expect(
      [...apart.readings(0, Number.POSITIVE_INFINITY)].flat().filter(({ sensor }) => sensor === 'a-screw'),
    ).toHaveLength(210)
    apart.close()
  })

  it('a sensor that told temperatures and now tells a state is refused, and nothing is changed', () => {
    const asState = shopOf(
      changed('  hall: { topic: hall, at: shop air }', '  hall: { topic: hall, at: beside oven, unit: state }'),
    )
    const renamedToState = shopOf(
      changed(
        '  door: {',
        '  oven-runs: { formerly: hall, at: beside oven, unit: state, topic: oven }\n  door: {',
      ).replace('  hall: { topic: hall, at: shop air }\n', ''),
    )
    for (const noted of [true, false]) {
      const folder = temporaryFolder()
      const store = openStore(folder, { shop: before })
      store.append(readings('hall', start, 3))
      store.close()
      // a database of before does not say what its sensors tell, but its values do
      if (!noted) {
        const db = new Database(join(folder, 'quiet-iron.db'))
        db.exec('UPDATE sensors SET tells = NULL')
        db.close()
      }
      for (const shop of [asState, renamedToState]) {
        expect(() => openStore(folder, { shop })).toThrow(StoreError)
        expect(() => openStore(folder, { shop })).toThrow(
          /"hall" \(temperatures stored, "(hall|oven-runs)" tells states\).*correct the unit.*an id of its own/,
        )
      }
      const again = openStore(folder, { shop: before })
      expect([...again.readings(0, Number.POSITIVE_INFINITY)].flat()).toEqual(readings('hall', start, 3))
      again.close()
    }
  })
})

it.each([
  ['a-screw: { topic', 'a-screw: { formerly: a-bed, topic', /"a-bed" is in use in this file/],
  ['    name: Mill A\n', '    name: Mill A\n    formerly: mill-a\n', /"mill-a" is in use in this file/],
  ['  bores: { name', '  bores: { formerly: [old, plates], name', /"plates" is in use in this file/],
])('a former id that is in use is a mistake of the shop file: %s', (written, instead, words) => {
  const parsed = parseShop(changed(written, instead), 'shop.yaml')
  expect('problems' in parsed && parsed.problems.map(({ what }) => what).join()).toMatch(words)
})

it('a former id that two sensors claim is a mistake of the shop file', () => {
  const text = smallShop
    .replace('a-screw: { topic', 'a-screw: { formerly: old, topic')
    .replace('a-bed: { topic', 'a-bed: { formerly: [old], topic')
  const parsed = parseShop(text, 'shop.yaml')
  expect('problems' in parsed && parsed.problems.map(({ what }) => what).join()).toMatch(
    /"old" is what "a-screw" was called before, too/,
  )
})
