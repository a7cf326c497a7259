import { describe, onTestFinished } from 'vitest'
import { openStore } from '../../../server/store/sqlite.js'
import { temporaryFolder } from '../../temporary-folder.js'
import { answersLater } from './answers-later.js'
import { storeContract } from './store-contract.js'
import { storeInMemory } from './store-in-memory.js'

const inSqlite = () => {
  const folder = temporaryFolder()
  let store = openStore(folder)
  onTestFinished(() => store.close())
  return {
    store,
    reopened() {
      store.close()
      store = openStore(folder)
      return store
    },
  }
}

describe('the store in SQLite', () => storeContract(inSqlite))

describe('a store that answers later', () =>
  storeContract(() => {
    const { store, reopened } = inSqlite()
    return { store: answersLater(store), reopened: () => answersLater(reopened()) }
  }))

describe('a store in memory', () =>
  storeContract(() => {
    const store = storeInMemory()
    return { store, reopened: () => store }
  }))
