import { spawn } from 'node:child_process'
import { cpSync } from 'node:fs'
import { join } from 'node:path'
import { setTimeout as pause } from 'node:timers/promises'
import Database from 'better-sqlite3'
import { expect, it } from 'vitest'
import type { FactKind } from '../../../server/store/fact-kinds.js'
import { migrate } from '../../../server/store/migrations.js'
import { openStore } from '../../../server/store/sqlite.js'
import { temporaryFolder } from '../../temporary-folder.js'
import { examples } from './fact-contract.js'

/** the last version with a table for each kind of fact */
const before = 12
const at = Date.UTC(2025, 10, 3, 6)
const pretension = { kind: 'pretension', axis: 'X', excess: 1.2 }

const oldDatabase = (fill: (db: Database.Database) => void): string => {
  const folder = temporaryFolder()
  const db = new Database(join(folder, 'quiet-iron.db'))
  // as the service leaves it
  db.pragma('journal_mode = WAL')
  migrate(db, before)
  db.transaction(() => fill(db))()
  db.close()
  return folder
}

/** one row of each old table, and in some a second that the first one's successor must not be confused with */
const oneOfEach = (db: Database.Database): void => {
  const run = (sql: string, ...values: unknown[]) => db.prepare(sql).run(...values)
  const example = <Kind extends FactKind>(kind: Kind, earlier = 0) => examples[kind](earlier)
  const insertVerdict = (verdict: string, index: number | null, reason: string, data: string | null) =>
    run(
      `INSERT INTO verdict_changes (machine, work_class, at, verdict, thermal_error_index, reason, data)
       VALUES ('mill-1', 'bores', ?, ?, ?, ?, ?)`,
      ...[at, verdict, index, reason, data],
    )
  insertVerdict('fit', 12.345678901234567, '', null)
  insertVerdict('unknown', null, 'X screw: +18 µm', null)
  insertVerdict('unfit', 120, '', JSON.stringify(pretension))
  const { basis, fault, ...trust } = example('trust')
  const insertTrust = (reason: string, remedy: string, data: string | null) =>
    run(
      'INSERT INTO trust_changes (sensor, at, trust, since, reason, remedy, basis, data) VALUES (?, ?, ?, ?, ?, ?, ?, ?)',
      ...[trust.sensor, trust.at, trust.trust, trust.since, reason, remedy, JSON.stringify(basis), data],
    )
  insertTrust('same value for 20 min', 'look at it', null)
  insertTrust('', '', JSON.stringify(fault))
  const datum = example('datum')
  run(
    'INSERT INTO datums (machine, at, by, note, temperatures) VALUES (?, ?, ?, ?, ?)',
    ...[datum.machine, datum.at, datum.by, datum.note, JSON.stringify(datum.temperatures)],
  )
  const log = example('drift log')
  const pairs = JSON.stringify(log.points.map(p => [p.at, p.value]))
  run(
    'INSERT INTO drift_logs (machine, axis, sign, entered_at, by, note, points) VALUES (?, ?, ?, ?, ?, ?, ?)',
    ...[log.machine, log.axis, log.sign, log.enteredAt, log.by, log.note, pairs],
  )
  const m = example('measurement')
  for (let i = 0; i < 2; i++)
    run(
      `INSERT INTO measurements (machine, axis, position, zero_at, at, value, uncertainty, entered_at, by, note)
       VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
      ...[m.machine, m.axis, m.position, m.zeroAt, m.at, m.value, m.uncertainty, m.enteredAt, m.by, m.note],
    )
  const aside = example('measurement set aside')
  run("INSERT INTO measurements_set_aside VALUES (2, ?, 'R. Iron', ?)", aside.at, aside.note)
  const { factors, shown, ...change } = example('factors')
  run(
    'INSERT INTO factor_changes (machine, at, by, note, factors, shown) VALUES (?, ?, ?, ?, ?, ?)',
    ...[change.machine, change.at, change.by, change.note, JSON.stringify(factors), JSON.stringify(shown)],
  )
  const { machine, node, at: identified, accepted, ...found } = example('identification')
  for (const refusal of ['', 'moved by only 0.04 K'])
    run(
      'INSERT INTO identifications (machine, node, at, accepted, found) VALUES (?, ?, ?, ?, ?)',
      ...[machine, node, identified, accepted ? 1 : 0, JSON.stringify({ ...found, refusal })],
    )
  const begun = example('import')
  for (let i = 0; i < 2; i++)
    run('INSERT INTO imports (at, by, note, file) VALUES (?, ?, ?, ?)', begun.at, begun.by, begun.note, begun.file)
  const end = example('import ended')
  run('INSERT INTO imports_ended VALUES (2, ?, 5, 2, 1, 0, ?)', end.at, end.problem)
  const offset = example('offset')
  for (const takesBack of [null, 1])
    run(
      `INSERT INTO offset_changes (sensor, at, by, note, old_offset, new_offset, found, takes_back)
       VALUES (?, ?, ?, ?, ?, ?, ?, ?)`,
      ...[offset.sensor, offset.at, offset.by, offset.note, offset.oldOffset, offset.newOffset],
      ...[takesBack ? null : JSON.stringify(offset.found), takesBack],
    )
}

it('a database of before keeps every fact, digit by digit, in order, with what was taken back or ended', async () => {
  const folder = oldDatabase(oneOfEach)
  const damage: string[] = []
  const store = openStore(folder, { say: what => damage.push(what) })
  const { facts } = store
  const verdict = { machine: 'mill-1', workClass: 'bores', at }
  expect(await facts.of('verdict')).toMatchObject([
    { ...verdict, verdict: 'fit', thermalErrorIndex: 12.345678901234567, reason: null },
    { ...verdict, verdict: 'unknown', thermalErrorIndex: null, reason: { kind: 'told', text: 'X screw: +18 µm' } },
    { ...verdict, verdict: 'unfit', thermalErrorIndex: 120, reason: pretension },
  ])
  const told = { kind: 'told', reason: 'same value for 20 min', remedy: 'look at it' }
  expect(await facts.of('trust')).toMatchObject([{ ...examples.trust(0), fault: told }, examples.trust(0)])
  const { part: _, firstPart: __, ...datum } = examples.datum(0)
  const [kept] = await facts.of('datum')
  expect(kept).toEqual({ ...datum, id: kept!.id })
  expect((await facts.of('identification')).map(({ id: _, ...identified }) => identified)).toEqual([
    examples.identification(0),
    { ...examples.identification(0), refusal: { kind: 'told', text: 'moved by only 0.04 K' } },
  ])
  for (const kind of ['drift log', 'factors'] as const) {
    const kept = await facts.of(kind)
    expect(kept).toEqual([{ ...examples[kind](0), id: kept[0]!.id }])
  }
  const [counts, setAside] = await facts.of('measurement')
  expect(counts).toEqual({ ...examples.measurement(0), id: counts!.id })
  expect(await facts.of('measurement set aside')).toMatchObject([examples['measurement set aside'](setAside!.id)])
  const [, ended] = await facts.of('import')
  expect(ended).toMatchObject(examples.import(0))
  expect(await facts.of('import ended')).toMatchObject([examples['import ended'](ended!.id)])
  const [accepted, back] = await facts.of('offset')
  expect(accepted).toMatchObject(examples.offset(0))
  expect(back).toMatchObject({ found: null, takesBack: accepted!.id })
  expect(damage).toEqual([])
  store.close()

  const db = new Database(join(folder, 'quiet-iron.db'), { readonly: true })
  const tables = db.prepare<[], string>("SELECT name FROM sqlite_schema WHERE type = 'table'").pluck().all()
  expect(
    tables.filter(
      name =>
        name !== 'imported_readings' && /verdict|datum|trust|import|offset|identif|measure|factor|drift/.test(name),
    ),
  ).toEqual([])
  db.close()
})

it('a fact of before that is damaged is named and keeps no database from opening', async () => {
  const folder = oldDatabase(db => {
    db.exec("INSERT INTO datums (machine, at, by, note, temperatures) VALUES ('mill-1', 5, 'A', '', '{\"bed\":2')")
    db.exec("INSERT INTO datums (machine, at, by, note, temperatures) VALUES ('mill-1', 6, 'A', '', '{\"bed\":20}')")
  })
  const damage: string[] = []
  const store = openStore(folder, { say: what => damage.push(what) })
  expect(await store.facts.of('datum')).toMatchObject([{ at: 6, temperatures: { bed: 20 } }])
  expect(damage).toEqual([expect.stringContaining('datum of mill-1')])
  store.close()
})

it('a process killed while it moves facts of before loses and doubles none', async () => {
  const count = 60_000
  const old = oldDatabase(db => {
    const insert =
      db.prepare(`INSERT INTO verdict_changes (machine, work_class, at, verdict, thermal_error_index, reason)
      VALUES ('mill-1', 'bores', ?, 'fit', 12.5, 'as it was')`)
    for (let i = 0; i < count; i++) insert.run(at + i)
  })
  const program = `import { openStore } from ${JSON.stringify(join(import.meta.dirname, '../../../dist/server/store/sqlite.js'))}
    process.stdout.write('opening')
    openStore(process.argv[1])
    process.stdout.write(' opened')`
  let inTheMiddle = 0
  for (const wait of [20, 60, 120, 200, 300]) {
    const folder = temporaryFolder()
    cpSync(old, folder, { recursive: true })
    const child = spawn(process.execPath, ['--input-type=module', '-e', program, folder])
    let said = ''
    child.stdout.on('data', (bytes: Buffer) => {
      said += bytes.toString()
    })
    const ended = new Promise(resolve => child.once('close', resolve))
    while (said === '' && child.exitCode === null) await pause(1)
    await pause(wait)
    child.kill('SIGKILL')
    await ended
    if (said === 'opening') inTheMiddle += 1
    const store = openStore(folder)
    const kept = await store.facts.of('verdict')
    expect(kept.map(fact => fact.at - at)).toEqual(Array.from({ length: count }, (_, i) => i))
    store.close()
  }
  expect(inTheMiddle).toBeGreaterThan(0)
})
