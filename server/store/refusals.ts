import type { Database } from 'better-sqlite3'
import type { RefusalsAnswer } from '../http/schemas/answers.js'
import type { Refusal } from '../ingest/reading.js'

/** samples kept for inspection; the counts are kept for ever */
const samplesKept = 500

interface Refusals {
  record(refusals: readonly Refusal[]): void
  read(): RefusalsAnswer
}

export const refusalTables = (db: Database): Refusals => {
  const count = db.prepare<[string, number]>(
    `INSERT INTO refusal_counts (reason, count) VALUES (?, ?)
     ON CONFLICT (reason) DO UPDATE SET count = count + excluded.count`,
  )
  const insert = db.prepare<[number, string, string, string]>(
    'INSERT INTO refusal_samples (at, topic, reason, sample) VALUES (?, ?, ?, ?)',
  )
  const trim = db.prepare<[number]>('DELETE FROM refusal_samples WHERE id <= (SELECT max(id) FROM refusal_samples) - ?')
  const counts = db.prepare<[], { reason: string; count: number }>(
    'SELECT reason, count FROM refusal_counts ORDER BY count DESC, reason',
  )
  const samples = db.prepare<[], Refusal>('SELECT at, topic, reason, sample FROM refusal_samples ORDER BY id DESC')

  const record = db.transaction((refusals: readonly Refusal[]) => {
    const byReason = new Map<string, number>()
    for (const { reason } of refusals) byReason.set(reason, (byReason.get(reason) ?? 0) + 1)
    for (const [reason, times] of byReason) count.run(reason, times)
    for (const { at, topic, reason, sample } of refusals.slice(-samplesKept)) insert.run(at, topic, reason, sample)
    trim.run(samplesKept)
  })
  return {
    record(refusals) {
      if (refusals.length > 0) record.immediate(refusals)
    },
    read: () => ({ counts: counts.all(), samples: samples.all() }),
  }
}
