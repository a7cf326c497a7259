import type { Database } from 'better-sqlite3'

/** "QIro": written into the database's header, so that a foreign database is never taken for ours. */
export const applicationId = 0x5149726f

/** the version that the first entry makes: databases of lower ones exist only where the service was developed */
export const firstVersion = 17

/**
 * The first entry makes an empty database, each further one takes it a version (SQLite's user_version) on. Entries are
 * only ever added: a database in a shop was made by the ones that are here.
 */
const migrations: readonly string[] = [
  `
  -- home: the computer and folder whose session at the broker is this database's (client-id.ts)
  -- open_since: ms, since when the database is open; none when it was closed whole
  CREATE TABLE identity (service TEXT NOT NULL, kept_since INTEGER NOT NULL, home TEXT, open_since INTEGER);
  INSERT INTO identity (service, kept_since) VALUES (lower(hex(randomblob(6))), 0);
  -- days since 1970 on which the service ran, in the order in which it did, and whether they count (lived-days.ts)
  CREATE TABLE lived_days (id INTEGER PRIMARY KEY AUTOINCREMENT, day INTEGER NOT NULL UNIQUE, counts INTEGER NOT NULL);

  -- tells: temperatures, states …; none for a sensor that no shop file has named since
  CREATE TABLE sensors (id INTEGER PRIMARY KEY, name TEXT NOT NULL UNIQUE, tells TEXT);
  CREATE TABLE journal (id INTEGER PRIMARY KEY, readings BLOB NOT NULL);
  -- groups of the journal up to "through" lie in blocks as far as (sensor, hour)
  CREATE TABLE sealing (through INTEGER NOT NULL, sensor INTEGER NOT NULL, hour INTEGER NOT NULL);
  INSERT INTO sealing VALUES (0, 0, 0);
  -- key: see keys.ts
  CREATE TABLE reading_blocks (key INTEGER PRIMARY KEY, count INTEGER NOT NULL, data BLOB NOT NULL);
  CREATE TABLE minute_blocks (key INTEGER PRIMARY KEY, count INTEGER NOT NULL, data BLOB NOT NULL);
  -- hours: the same day by the hour, so that a year is read quickly; none in a block of before there were any
  CREATE TABLE quarter_hour_blocks (key INTEGER PRIMARY KEY, count INTEGER NOT NULL, data BLOB NOT NULL, hours BLOB);
  CREATE TABLE newest_readings (sensor INTEGER PRIMARY KEY, reading BLOB NOT NULL);
  -- which readings an import has added (imported.ts)
  CREATE TABLE imported_readings (
    import INTEGER NOT NULL, part INTEGER NOT NULL, first INTEGER NOT NULL, last INTEGER NOT NULL,
    count INTEGER NOT NULL, readings BLOB NOT NULL, PRIMARY KEY (import, part)
  ) WITHOUT ROWID;
  -- what was found damaged (damage.ts)
  CREATE TABLE damaged (
    id INTEGER PRIMARY KEY AUTOINCREMENT, found_at INTEGER NOT NULL, kind TEXT NOT NULL, sensor INTEGER,
    "from" INTEGER NOT NULL, "to" INTEGER NOT NULL, remade INTEGER NOT NULL, data BLOB
  );

  -- all kinds of facts (fact-kinds.ts); closes: the fact that this one takes back or ends
  CREATE TABLE facts (
    id INTEGER PRIMARY KEY AUTOINCREMENT, kind TEXT NOT NULL, subject TEXT NOT NULL, part TEXT NOT NULL,
    at INTEGER NOT NULL, by TEXT NOT NULL, note TEXT NOT NULL, body TEXT NOT NULL, closes INTEGER
  );
  CREATE INDEX facts_by_time ON facts (kind, subject, at);
  CREATE INDEX facts_by_part ON facts (kind, subject, part);
  CREATE UNIQUE INDEX facts_closing ON facts (closes) WHERE closes IS NOT NULL;
  -- parts that were measured (inspections.ts)
  CREATE TABLE inspections (
    id INTEGER PRIMARY KEY AUTOINCREMENT, import INTEGER NOT NULL, machine TEXT NOT NULL, part TEXT NOT NULL,
    feature TEXT NOT NULL, at INTEGER NOT NULL, body TEXT NOT NULL
  );
  CREATE INDEX inspections_by_time ON inspections (at, id);
  CREATE INDEX inspections_by_machine ON inspections (machine, at, id);
  CREATE TABLE refusal_counts (reason TEXT PRIMARY KEY, count INTEGER NOT NULL) WITHOUT ROWID;
  CREATE TABLE refusal_samples (
    id INTEGER PRIMARY KEY AUTOINCREMENT, at INTEGER NOT NULL, topic TEXT NOT NULL, reason TEXT NOT NULL,
    sample TEXT NOT NULL
  );
  `,
]

/** the version this program writes */
export const currentVersion = firstVersion + migrations.length - 1

/**
 * Brings a database of `firstVersion` or later, or an empty one, to the current version, all in one transaction: a
 * migration that fails or is killed leaves it as it was.
 */
export const migrate = (db: Database): void => {
  const version = db.pragma('user_version', { simple: true }) as number
  if (version >= currentVersion) return
  const step = db.transaction(() => {
    for (const sql of migrations.slice(version === 0 ? 0 : version - firstVersion + 1)) db.exec(sql)
    db.pragma(`application_id = ${applicationId}`)
    db.pragma(`user_version = ${currentVersion}`)
  })
  step.immediate()
}
