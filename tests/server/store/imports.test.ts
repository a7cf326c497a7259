import { expect, test } from 'vitest'
import { openStore } from '../../../server/store/sqlite.js'
import { temporaryFolder } from '../../temporary-folder.js'

test('imports are on record from their beginning, with their end when they had one, newest first', () => {
  const folder = temporaryFolder()
  const store = openStore(folder)
  const begun = { at: 1000, by: 'R. Iron', note: 'logger of the hall', file: 'night.csv' }
  const end = { at: 2000, added: 5, alreadyThere: 2, rowsRefused: 1, valuesRefused: 0, problem: '' }
  expect(store.imports(10)).toEqual([])
  const first = store.beginImport(begun)
  store.endImport(first, end)
  const second = store.beginImport({ ...begun, at: 3000 })
  expect(() => store.endImport(first, { ...end, added: 6 })).toThrow(/UNIQUE/)
  store.close()

  const again = openStore(folder)
  expect(again.imports(10)).toEqual([
    { ...begun, id: second, at: 3000, ended: null },
    { ...begun, id: first, ended: end },
  ])
  expect(again.imports(1)).toHaveLength(1)
  again.close()
})
