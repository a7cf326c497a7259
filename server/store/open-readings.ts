import type { Database } from 'better-sqlite3'
import { blockTables } from './blocks.js'
import { type Damage, damageTable } from './damage.js'
import { journalTable } from './journal.js'
import { day, dayKey, dayOfKey, hour } from './keys.js'
import { Newest, newestTable } from './newest.js'
import { createSealing, type SealedState, type Sealing } from './sealing.js'
import { type Stored, storedReadings } from './stored.js'
import { type Progress, Tail } from './tail.js'
import { Unsealed } from './unsealed.js'

interface OpenReadings extends SealedState {
  stored: Stored
  sealing: Sealing
  /** the newest reading of a sensor that lies in a block; null when there is none on the last day of which any is known */
  lastSealed(sensor: number): [at: number, value: number, delay: number] | null
}

interface OpenOptions {
  /** keeps what is damaged, if not given one that tells nobody */
  damage?: Damage
  /** ms of work in one slice of sealing */
  sliceTime?: number
}

/** What is stored of readings, with what waits in the journal taken up again as it was when the process ended. */
export const openReadings = (db: Database, { damage = damageTable(db), sliceTime }: OpenOptions = {}): OpenReadings => {
  const blocks = blockTables(db, damage)
  const progress = db.prepare<[], Progress>('SELECT through, sensor, hour FROM sealing').get()
  const tail = new Tail(progress ?? { through: 0, sensor: 0, hour: 0 })
  const journal = journalTable(db, tail.progress.through, damage)
  const newest = new Newest()

  const lastDay = db
    .prepare<[number, number], number | null>('SELECT max(key) FROM quarter_hour_blocks WHERE key >= ? AND key < ?')
    .pluck()
  const lastSealed: OpenReadings['lastSealed'] = sensor => {
    const key = lastDay.get(dayKey(sensor, 0), dayKey(sensor + 1, 0))
    if (typeof key !== 'number') return null
    for (let begin = dayOfKey(key) + day - hour; begin >= dayOfKey(key); begin -= hour) {
      const found = blocks.readings(sensor, begin)
      const last = found ? found.at.length - 1 : -1
      if (found && last >= 0) return [found.at[last]!, found.value[last]!, found.delay[last]!]
    }
    return null
  }
  const notes = newestTable(db)
  for (const { sensor, reading } of notes.all()) {
    if (newest.offerBytes(sensor, reading, damage)) continue
    // what a damaged note said, as the blocks have it
    const sealed = lastSealed(sensor)
    if (sealed) newest.offer(sensor, ...sealed)
    const at = Math.max(newest.at(sensor), 0)
    damage.setAside([{ kind: 'newest', sensor, from: at, to: at, remade: at > 0, data: reading }], () =>
      at > 0 ? notes.put(sensor, newest.bytes(sensor)) : notes.remove(sensor),
    )
  }

  const round = new Unsealed()
  journal.replay((group, sensor, at, value, delay) => {
    newest.offer(sensor, at, value, delay)
    if (group > tail.progress.through) tail.current.add(sensor, at, value, delay)
    else if (!tail.isSealed(sensor, at)) round.add(sensor, at, value, delay)
  })
  if (round.size > 0) tail.round = round

  const state = { blocks, journal, tail, newest }
  return { ...state, lastSealed, stored: storedReadings(blocks, tail), sealing: createSealing(db, state, sliceTime) }
}
