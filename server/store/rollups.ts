import type { Database } from 'better-sqlite3'

/** The summaries kept beside the readings, finest first. Widths in ms. */
export const rollupLevels = [
  { table: 'minutes', width: 60_000 },
  { table: 'quarter_hours', width: 900_000 },
] as const

interface Summary {
  sensor: number
  at: number
  count: number
  sum: number
  min: number
  max: number
}

/** What a group of new readings adds to one level. */
class Additions {
  readonly #bySensor = new Map<number, Map<number, Summary>>()

  constructor(readonly width: number) {}

  add(sensor: number, at: number, value: number): void {
    const start = at - (at % this.width)
    let summaries = this.#bySensor.get(sensor)
    if (!summaries) {
      summaries = new Map()
      this.#bySensor.set(sensor, summaries)
    }
    const summary = summaries.get(start)
    if (!summary) {
      summaries.set(start, { sensor, at: start, count: 1, sum: value, min: value, max: value })
      return
    }
    summary.count += 1
    summary.sum += value
    if (value < summary.min) summary.min = value
    if (value > summary.max) summary.max = value
  }

  *summaries(): Iterable<Summary> {
    for (const summaries of this.#bySensor.values()) yield* summaries.values()
  }
}

export interface RollupWriter {
  /** begins a group; `add` every new reading (never a duplicate), then `write` inside the same transaction */
  begin(): { add(sensor: number, at: number, value: number): void; write(): void }
}

/**
 * Keeps count, sum, min and max for each sensor, minute and quarter hour. A group is summed up in memory first and then
 * added to what is there, so a late reading costs the same as a fresh one and ends in its own minute.
 */
export const rollupWriter = (db: Database): RollupWriter => {
  const statements = rollupLevels.map(({ table, width }) => ({
    width,
    add: db.prepare<[number, number, number, number, number, number]>(
      `INSERT INTO ${table} (sensor, at, count, sum, min, max) VALUES (?, ?, ?, ?, ?, ?)
       ON CONFLICT (sensor, at) DO UPDATE SET count = count + excluded.count, sum = sum + excluded.sum,
       min = min(min, excluded.min), max = max(max, excluded.max)`,
    ),
  }))
  return {
    begin() {
      const levels = statements.map(({ width, add }) => ({ additions: new Additions(width), statement: add }))
      return {
        add(sensor, at, value) {
          for (const { additions } of levels) additions.add(sensor, at, value)
        },
        write() {
          for (const { additions, statement } of levels)
            for (const { sensor, at, count, sum, min, max } of additions.summaries())
              statement.run(sensor, at, count, sum, min, max)
        },
      }
    },
  }
}
