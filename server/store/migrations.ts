import type { Database } from 'better-sqlite3'
import { moveOldFacts } from './old-facts.js'

/** "QIro": written into the database's header, so that a foreign database is never taken for ours. */
export const applicationId = 0x5149726f

/** the version that the first entry makes: databases of lower ones (a row for each reading) were only in development */
export const firstVersion = 5

/**
 * The first entry makes an empty database, each further one takes it a version (SQLite's user_version) on. Entries are
 * only ever added: a database in a shop was made by the ones that are here.
 *
 * key: see keys.ts. sealing: groups of the journal up to `through` lie in blocks as far as (sensor, hour)
 */
const migrations: readonly (string | ((db: Database) => void))[] = [
  `
  CREATE TABLE identity (service TEXT NOT NULL, kept_since INTEGER NOT NULL);
  INSERT INTO identity VALUES (lower(hex(randomblob(6))), 0);

  CREATE TABLE sensors (id INTEGER PRIMARY KEY, name TEXT NOT NULL UNIQUE);

  CREATE TABLE verdict_changes (
    id INTEGER PRIMARY KEY, machine TEXT NOT NULL, work_class TEXT NOT NULL, at INTEGER NOT NULL,
    verdict TEXT NOT NULL, thermal_error_index REAL, reason TEXT NOT NULL
  );
  CREATE INDEX verdict_changes_by_class ON verdict_changes (machine, work_class, at);
  CREATE INDEX verdict_changes_by_time ON verdict_changes (machine, at);
  CREATE TABLE datums (
    id INTEGER PRIMARY KEY AUTOINCREMENT, machine TEXT NOT NULL, at INTEGER NOT NULL,
    by TEXT NOT NULL, note TEXT NOT NULL, temperatures TEXT NOT NULL
  );
  CREATE INDEX datums_by_machine ON datums (machine, at);

  CREATE TABLE refusal_counts (reason TEXT PRIMARY KEY, count INTEGER NOT NULL) WITHOUT ROWID;
  CREATE TABLE refusal_samples (
    id INTEGER PRIMARY KEY AUTOINCREMENT, at INTEGER NOT NULL, topic TEXT NOT NULL, reason TEXT NOT NULL,
    sample TEXT NOT NULL
  );

  CREATE TABLE drift_logs (
    id INTEGER PRIMARY KEY AUTOINCREMENT, machine TEXT NOT NULL, axis TEXT NOT NULL, sign INTEGER NOT NULL,
    entered_at INTEGER NOT NULL, by TEXT NOT NULL, note TEXT NOT NULL, points TEXT NOT NULL
  );
  CREATE INDEX drift_logs_by_machine ON drift_logs (machine, id);
  CREATE TABLE measurements (
    id INTEGER PRIMARY KEY AUTOINCREMENT, machine TEXT NOT NULL, axis TEXT NOT NULL, position REAL NOT NULL,
    zero_at INTEGER NOT NULL, at INTEGER NOT NULL, value REAL NOT NULL, uncertainty REAL NOT NULL,
    entered_at INTEGER NOT NULL, by TEXT NOT NULL, note TEXT NOT NULL
  );
  CREATE INDEX measurements_by_machine ON measurements (machine, at);
  CREATE TABLE measurements_set_aside (
    measurement INTEGER PRIMARY KEY, at INTEGER NOT NULL, by TEXT NOT NULL, note TEXT NOT NULL
  );
  CREATE TABLE factor_changes (
    id INTEGER PRIMARY KEY AUTOINCREMENT, machine TEXT NOT NULL, at INTEGER NOT NULL,
    by TEXT NOT NULL, note TEXT NOT NULL, factors TEXT, shown TEXT
  );
  CREATE INDEX factor_changes_by_machine ON factor_changes (machine, id);

  CREATE TABLE identifications (
    id INTEGER PRIMARY KEY AUTOINCREMENT, machine TEXT NOT NULL, node TEXT NOT NULL, at INTEGER NOT NULL,
    accepted INTEGER NOT NULL, found TEXT NOT NULL
  );
  CREATE INDEX identifications_by_machine ON identifications (machine, at);

  CREATE TABLE imports (
    id INTEGER PRIMARY KEY AUTOINCREMENT, at INTEGER NOT NULL, by TEXT NOT NULL, note TEXT NOT NULL, file TEXT NOT NULL
  );
  CREATE TABLE imports_ended (
    import INTEGER PRIMARY KEY, at INTEGER NOT NULL, added INTEGER NOT NULL, already_there INTEGER NOT NULL,
    rows_refused INTEGER NOT NULL, values_refused INTEGER NOT NULL, problem TEXT NOT NULL
  );

  CREATE TABLE journal (id INTEGER PRIMARY KEY, readings BLOB NOT NULL);
  CREATE TABLE sealing (through INTEGER NOT NULL, sensor INTEGER NOT NULL, hour INTEGER NOT NULL);
  INSERT INTO sealing VALUES (0, 0, 0);
  CREATE TABLE reading_blocks (key INTEGER PRIMARY KEY, count INTEGER NOT NULL, data BLOB NOT NULL);
  CREATE TABLE minute_blocks (key INTEGER PRIMARY KEY, count INTEGER NOT NULL, data BLOB NOT NULL);
  CREATE TABLE quarter_hour_blocks (key INTEGER PRIMARY KEY, count INTEGER NOT NULL, data BLOB NOT NULL);
  CREATE TABLE newest_readings (sensor INTEGER PRIMARY KEY, reading BLOB NOT NULL);
  `,
  // the same day by the hour, so that a year is read quickly; none in a block of before
  `
  ALTER TABLE quarter_hour_blocks ADD COLUMN hours BLOB;
  `,
  `
  CREATE TABLE offset_changes (
    id INTEGER PRIMARY KEY AUTOINCREMENT, sensor TEXT NOT NULL, at INTEGER NOT NULL, by TEXT NOT NULL,
    note TEXT NOT NULL, old_offset REAL NOT NULL, new_offset REAL NOT NULL, found TEXT, takes_back INTEGER
  );
  `,
  `
  CREATE TABLE trust_changes (
    id INTEGER PRIMARY KEY AUTOINCREMENT, sensor TEXT NOT NULL, at INTEGER NOT NULL, trust TEXT NOT NULL,
    since INTEGER NOT NULL, reason TEXT NOT NULL, remedy TEXT NOT NULL, basis TEXT
  );
  CREATE INDEX trust_changes_by_sensor ON trust_changes (sensor, at);
  `,
  // days since 1970 on which the service ran, in the order in which it did, and whether they count (lived-days.ts)
  `
  CREATE TABLE lived_days (id INTEGER PRIMARY KEY AUTOINCREMENT, day INTEGER NOT NULL UNIQUE, counts INTEGER NOT NULL);
  `,
  // reasons as data; facts of before have a sentence only
  `
  ALTER TABLE verdict_changes ADD COLUMN data TEXT;
  ALTER TABLE trust_changes ADD COLUMN data TEXT;
  `,
  // the computer and folder whose session at the broker is this database's (client-id.ts)
  `
  ALTER TABLE identity ADD COLUMN home TEXT;
  `,
  // what was found damaged (damage.ts); ms, since when the database is open, none when it was closed whole
  `
  ALTER TABLE identity ADD COLUMN open_since INTEGER;
  CREATE TABLE damaged (
    id INTEGER PRIMARY KEY AUTOINCREMENT, found_at INTEGER NOT NULL, kind TEXT NOT NULL, sensor INTEGER,
    "from" INTEGER NOT NULL, "to" INTEGER NOT NULL, remade INTEGER NOT NULL, data BLOB
  );
  `,
  // all kinds of facts in one table (fact-kinds.ts); `closes`: the fact that this one takes back or ends
  `
  CREATE TABLE facts (
    id INTEGER PRIMARY KEY AUTOINCREMENT, kind TEXT NOT NULL, subject TEXT NOT NULL, part TEXT NOT NULL,
    at INTEGER NOT NULL, by TEXT NOT NULL, note TEXT NOT NULL, body TEXT NOT NULL, closes INTEGER
  );
  CREATE INDEX facts_by_time ON facts (kind, subject, at);
  CREATE INDEX facts_by_part ON facts (kind, subject, part);
  CREATE UNIQUE INDEX facts_closing ON facts (closes) WHERE closes IS NOT NULL;
  `,
  moveOldFacts,
  // whether a sensor tells temperatures or states; none for one that no shop file has named since
  `
  ALTER TABLE sensors ADD COLUMN tells TEXT;
  `,
  // which readings an import has added (imported.ts)
  `
  CREATE TABLE imported_readings (
    import INTEGER NOT NULL, part INTEGER NOT NULL, first INTEGER NOT NULL, last INTEGER NOT NULL,
    count INTEGER NOT NULL, readings BLOB NOT NULL, PRIMARY KEY (import, part)
  ) WITHOUT ROWID;
  `,
  // parts that were measured (inspections.ts)
  `
  CREATE TABLE inspections (
    id INTEGER PRIMARY KEY AUTOINCREMENT, import INTEGER NOT NULL, machine TEXT NOT NULL, part TEXT NOT NULL,
    feature TEXT NOT NULL, at INTEGER NOT NULL, body TEXT NOT NULL
  );
  CREATE INDEX inspections_by_time ON inspections (at, id);
  CREATE INDEX inspections_by_machine ON inspections (machine, at, id);
  `,
]

/** the version this program writes */
export const currentVersion = firstVersion + migrations.length - 1

/**
 * Brings a database of `firstVersion` or later, or an empty one, to a version, all in one transaction: a migration that
 * fails or is killed leaves it as it was.
 *
 * @param to another than the current one only for a test, which needs a database of before
 */
export const migrate = (db: Database, to = currentVersion): void => {
  const version = db.pragma('user_version', { simple: true }) as number
  if (version >= to) return
  const done = Math.max(0, version - firstVersion + 1)
  const step = db.transaction(() => {
    for (const step of migrations.slice(done, to - firstVersion + 1))
      typeof step === 'string' ? db.exec(step) : step(db)
    db.pragma(`application_id = ${applicationId}`)
    db.pragma(`user_version = ${to}`)
  })
  step.immediate()
}
