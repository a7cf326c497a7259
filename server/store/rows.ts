import type { Database } from 'better-sqlite3'
import type { Readings, Summary } from './block.js'
import type { Blocks } from './blocks.js'
import { beginOf, day, hour } from './keys.js'
import { type Newest, newestTable } from './newest.js'
import { joined } from './readings-of.js'
import { addedUp } from './summaries.js'

type RowTable = 'readings' | 'minutes' | 'quarter_hours'

/** ms of work in one transaction */
const sliceTime = 200
/** ms between two lines that say how far it is */
const sayEvery = 2_000

/**
 * Moves readings and summaries that a database of before the blocks holds, a row for each, into blocks. Each slice
 * commits what it took and what it put together, so that a process killed in between goes on from there.
 *
 * @param say is told how far it is
 */
export const moveRows = (db: Database, blocks: Blocks, newest: Newest, say: (text: string) => void): void => {
  const firstOf = (table: RowTable) =>
    db.prepare<[], { sensor: number; at: number }>(`SELECT sensor, at FROM ${table} ORDER BY sensor, at LIMIT 1`)
  const first = { readings: firstOf('readings'), minutes: firstOf('minutes'), quarter_hours: firstOf('quarter_hours') }
  if (!Object.values(first).some(statement => statement.get())) return

  const part = 'WHERE sensor = ? AND at >= ? AND at < ?'
  const remove = (table: RowTable) => db.prepare<[number, number, number]>(`DELETE FROM ${table} ${part}`)
  const removed = { readings: remove('readings'), minutes: remove('minutes'), quarter_hours: remove('quarter_hours') }
  const readings = db
    .prepare<[number, number, number], [number, number, number]>(
      `SELECT at, value, delay FROM readings ${part} ORDER BY at`,
    )
    .raw()
  const summaries = (table: RowTable) =>
    db
      .prepare<[number, number, number], Summary>(`SELECT at, count, sum, min, max FROM ${table} ${part} ORDER BY at`)
      .raw()
  const minutes = summaries('minutes')
  const quarterHours = summaries('quarter_hours')
  const last = db.prepare<[number], { at: number; value: number; delay: number }>(
    'SELECT at, value, delay FROM readings WHERE sensor = ? ORDER BY at DESC LIMIT 1',
  )
  const sensors = db.prepare<[], number>('SELECT id FROM sensors ORDER BY id').pluck().all()
  const notes = newestTable(db)

  const noteNewest = db.transaction(() => {
    for (const sensor of sensors) {
      const row = last.get(sensor)
      if (row && newest.offer(sensor, row.at, row.value, row.delay)) notes.put(sensor, newest.bytes(sensor))
    }
  })
  const readingsOf = (sensor: number, from: number, to: number): Readings => {
    const rows = readings.all(sensor, from, to)
    const column = (index: 0 | 1 | 2) => Float64Array.from(rows, row => row[index])
    return { at: column(0), value: column(1), delay: column(2) }
  }
  /** takes what lies with the first row of a table, in a span of `width`; @returns the sensor, none when nothing is left */
  const move = (table: RowTable, width: number, put: (sensor: number, begin: number, end: number) => void) => {
    const next = first[table].get()
    if (!next) return undefined
    const begin = beginOf(next.at, width)
    put(next.sensor, begin, begin + width)
    removed[table].run(next.sensor, begin, begin + width)
    return next.sensor
  }
  const steps: Record<RowTable, () => number | undefined> = {
    readings: () =>
      move('readings', hour, (sensor, begin, end) => {
        const before = blocks.readings(sensor, begin)
        const rows = readingsOf(sensor, begin, end)
        blocks.putReadings(sensor, begin, before ? joined(before, rows) : rows)
      }),
    minutes: () =>
      move('minutes', hour, (sensor, begin, end) =>
        blocks.putMinutes(sensor, begin, addedUp(blocks.minutes(sensor, begin), minutes.all(sensor, begin, end))),
      ),
    quarter_hours: () =>
      move('quarter_hours', day, (sensor, begin, end) =>
        blocks.putQuarterHours(
          sensor,
          begin,
          addedUp(blocks.quarterHours(sensor, begin, end), quarterHours.all(sensor, begin, end)),
        ),
      ),
  }
  const slice = db.transaction((step: () => number | undefined): number | undefined => {
    const until = performance.now() + sliceTime
    let sensor = step()
    while (sensor !== undefined && performance.now() < until) sensor = step()
    return sensor
  })

  say(
    'The database is of an early version. What it holds is brought into the present form once; that may take minutes.',
  )
  noteNewest.immediate()
  let said = performance.now()
  for (const [what, step] of Object.entries(steps))
    for (;;) {
      const sensor = slice.immediate(step)
      if (sensor === undefined) break
      if (performance.now() - said < sayEvery) continue
      said = performance.now()
      say(`${what.replace('_', ' ')}: at sensor ${sensors.indexOf(sensor) + 1} of ${sensors.length}`)
    }
  say('The database is in the present form.')
}
