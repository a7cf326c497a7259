import { existsSync, readdirSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { freshFolder } from '../../../server/demo/fresh-folder.js'
import { openStore } from '../../../server/store/sqlite.js'
import { temporaryFolder } from '../../temporary-folder.js'

describe('freshFolder', () => {
  it('makes the folder, and empties it of an earlier demo', () => {
    const folder = join(temporaryFolder(), 'a', 'demo')
    freshFolder(folder)
    const store = openStore(folder)
    store.append([{ sensor: 's', at: 1, value: 20, receivedAt: 1 }])
    store.close()
    freshFolder(folder)
    const again = openStore(folder)
    expect(again.latest()).toEqual([])
    again.close()
  })

  it('deletes nothing but databases: not what somebody put there', () => {
    const folder = temporaryFolder()
    freshFolder(folder)
    writeFileSync(join(folder, 'notes.txt'), 'mine')
    openStore(folder).close()
    freshFolder(folder)
    expect(readdirSync(folder)).toContain('notes.txt')
    expect(existsSync(join(folder, 'quiet-iron.db'))).toBe(false)
  })

  it('does not touch the database of a real shop', () => {
    const folder = temporaryFolder()
    const store = openStore(folder)
    store.append([{ sensor: 's', at: 1, value: 20, receivedAt: 1 }])
    store.close()
    expect(() => freshFolder(folder)).toThrow(/holds files that no demo made.*--data/)
    const still = openStore(folder)
    expect(still.latest()).toHaveLength(1)
    still.close()
  })

  it('does not touch the database of a demo that runs', () => {
    const folder = temporaryFolder()
    freshFolder(folder)
    const running = openStore(folder)
    expect(() => freshFolder(folder)).toThrow(/Another demo runs on .*--data, --port/)
    expect(running.append([{ sensor: 's', at: 1, value: 20, receivedAt: 1 }])).toHaveLength(1)
    running.close()
  })

  it('replaces a database that is damaged', () => {
    const folder = temporaryFolder()
    freshFolder(folder)
    writeFileSync(join(folder, 'quiet-iron.db'), 'no database at all, whatever it was before'.repeat(100))
    freshFolder(folder)
    openStore(folder).close()
  })
})
