import { describe, onTestFinished } from 'vitest'
import { openStore } from '../../../server/store/sqlite.js'
import { temporaryFolder } from '../../temporary-folder.js'
import { factContract } from './fact-contract.js'
import { factsInMemory } from './facts-in-memory.js'
import { storeContract } from './store-contract.js'

describe('the store in SQLite', () =>
  storeContract(() => {
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
  }))

describe('facts in memory, as other tests have them', () =>
  factContract(() => {
    const facts = factsInMemory()
    return { facts, reopened: () => facts }
  }))
