import type { Database } from 'better-sqlite3'

/** The whole number that stands for a sensor's id in the tables of readings. */
export interface SensorNumbers {
  /** undefined for a sensor that never had a reading */
  find(sensor: string): number | undefined
  /** call at the beginning of a transaction that may make numbers */
  begin(): void
  /** makes one when needed */
  number(sensor: string): number
  /** forgets the numbers made since `begin`: the transaction failed */
  forget(): void
  all(): ReadonlyMap<string, number>
}

export const sensorNumbers = (db: Database): SensorNumbers => {
  const select = db.prepare<[], { id: number; name: string }>('SELECT id, name FROM sensors')
  const insert = db.prepare<[string]>('INSERT INTO sensors (name) VALUES (?)')
  const known = new Map<string, number>()
  for (const { id, name } of select.all()) known.set(name, id)
  let made: string[] = []
  return {
    find: sensor => known.get(sensor),
    begin() {
      made = []
    },
    number(sensor) {
      const found = known.get(sensor)
      if (found !== undefined) return found
      const number = Number(insert.run(sensor).lastInsertRowid)
      known.set(sensor, number)
      made.push(sensor)
      return number
    },
    forget() {
      for (const sensor of made) known.delete(sensor)
    },
    all: () => known,
  }
}
