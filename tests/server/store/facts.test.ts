import { join } from 'node:path'
import Database from 'better-sqlite3'
import { describe, expect, it } from 'vitest'
import type { Refusal } from '../../../server/ingest/reading.js'
import { openStore } from '../../../server/store/sqlite.js'
import { temporaryFolder } from '../../temporary-folder.js'
import { examples } from './fact-contract.js'

const start = Date.UTC(2024, 0, 15, 6)

it('a fact that cannot be read is named once, and the others are read all the same', async () => {
  const folder = temporaryFolder()
  const store = openStore(folder)
  const [cut, changed, sound] = await store.facts.record('datum', [0, 1, 2].map(examples.datum))
  store.close()
  const db = new Database(join(folder, 'quiet-iron.db'))
  db.prepare('UPDATE facts SET body = ? WHERE id = ?').run('{"temperatures":{"bed":2', cut!.id)
  db.prepare('UPDATE facts SET body = ? WHERE id = ?').run('{"temperatures":{"bed":"warm"}}', changed!.id)
  db.close()

  const named: string[] = []
  const again = openStore(folder, { say: what => named.push(what) })
  expect(await again.facts.of('datum')).toEqual([sound])
  expect(await again.facts.of('datum', { subject: 'mill-1' })).toEqual([sound])
  expect(named).toEqual([
    expect.stringMatching(new RegExp(`fact ${cut!.id} \\(datum of mill-1, 2026-.*temperatures`)),
    expect.stringMatching(new RegExp(`fact ${changed!.id} .*temperatures\\.bed`)),
  ])
  again.close()
})

describe('refusals', () => {
  const refusal = (index: number, reason = 'not a number'): Refusal => ({
    at: start + index,
    topic: 'shop/a',
    reason,
    sample: `payload ${index}`,
  })

  it('are counted for ever, with the newest 500 kept to look at', () => {
    const folder = temporaryFolder()
    const store = openStore(folder)
    store.recordRefusals(Array.from({ length: 1200 }, (_, index) => refusal(index)))
    store.recordRefusals([refusal(1200, 'unknown topic')])
    store.recordRefusals([])
    store.close()
    const again = openStore(folder)
    again.recordRefusals([refusal(1201)])
    const { counts, samples } = again.refusals()
    expect(counts).toEqual([
      { reason: 'not a number', count: 1201 },
      { reason: 'unknown topic', count: 1 },
    ])
    expect(samples).toHaveLength(500)
    expect(samples.slice(0, 2)).toEqual([refusal(1201), refusal(1200, 'unknown topic')])
    again.close()
  })
})
