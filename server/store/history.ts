import type { Database } from 'better-sqlite3'
import { blockTables } from './blocks.js'
import { journalTable } from './journal.js'
import { Newest } from './newest.js'
import { rowTables } from './rows.js'
import { createSealing, type SealedState, type Sealing } from './sealing.js'
import { type Stored, storedHistory } from './stored.js'
import { type Progress, Tail } from './tail.js'
import { Unsealed } from './unsealed.js'

export interface History extends SealedState {
  stored: Stored
  sealing: Sealing
}

/**
 * What is stored of readings, with what waits in the journal taken up again as it was when the process ended.
 *
 * @param sliceTime ms of work in one slice of sealing
 */
export const openHistory = (db: Database, sliceTime?: number): History => {
  const rows = rowTables(db)
  const blocks = blockTables(db)
  const progress = db.prepare<[], Progress>('SELECT through, sensor, hour FROM sealing').get()
  const tail = new Tail(progress ?? { through: 0, sensor: 0, hour: 0 })
  const journal = journalTable(db, tail.progress.through)
  const newest = new Newest()

  const sealed = db.prepare<[], { sensor: number; reading: Buffer }>('SELECT sensor, reading FROM newest_readings')
  for (const { sensor, reading } of sealed.iterate()) newest.offerBytes(sensor, reading)
  if (rows.left())
    for (const sensor of db.prepare<[], number>('SELECT id FROM sensors').pluck().all()) {
      const row = rows.newest(sensor)
      if (row) newest.offer(sensor, row.at, row.value, row.delay)
    }
  const round = new Unsealed()
  journal.replay((group, sensor, at, value, delay) => {
    newest.offer(sensor, at, value, delay)
    if (group > tail.progress.through) tail.current.add(sensor, at, value, delay)
    else if (!tail.isSealed(sensor, at)) round.add(sensor, at, value, delay)
  })
  if (round.size > 0) tail.round = round

  const state = { blocks, rows, journal, tail, newest }
  return { ...state, stored: storedHistory(blocks, rows, tail), sealing: createSealing(db, state, sliceTime) }
}
