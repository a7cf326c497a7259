import { existsSync, mkdirSync, readdirSync, rmSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { openStore } from '../store/sqlite.js'

/** says that what lies here is invented and may be deleted */
const mark = 'made-by-the-demo'

/**
 * An empty folder for the demo's database. Only what an earlier demo left is deleted.
 *
 * @throws Error when the folder holds anything else, or another demo uses it
 */
export const freshFolder = (folder: string): void => {
  mkdirSync(folder, { recursive: true })
  const there = readdirSync(folder)
  if (there.length > 0 && !there.includes(mark))
    throw new Error(
      `The folder ${folder} holds files that no demo made, and the demo would begin by deleting its database. ` +
        'Choose another with --data.',
    )
  const database = there.filter(name => name.startsWith('quiet-iron.'))
  if (database.length > 0) {
    assertUnused(folder)
    for (const name of database) rmSync(join(folder, name), { force: true })
  }
  if (!existsSync(join(folder, mark)))
    writeFileSync(join(folder, mark), 'The demo deletes the database in this folder whenever it starts.\n')
}

/** The lock on a store can only be asked for by opening it; whatever else is wrong with it goes away with it. */
const assertUnused = (folder: string): void => {
  try {
    openStore(folder).close()
  } catch (error) {
    if (error instanceof Error && /in use by another/.test(error.message))
      throw new Error(`Another demo runs on ${folder}. Stop it, or choose another folder and port: --data, --port.`)
  }
}
