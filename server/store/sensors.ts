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
  /** without the ids that are former ones of another sensor */
  all(): ReadonlyMap<string, number>
}

/** @param former ids that are another sensor's former ones */
export const sensorNumbers = (db: Database, former: { has(id: string): boolean } = new Set()): SensorNumbers => {
  const select = db.prepare<[], { id: number; name: string }>('SELECT id, name FROM sensors')
  const insert = db.prepare<[string]>('INSERT INTO sensors (name) VALUES (?)')
  const known = new Map<string, number>()
  // the same for looking up, which every reading does: an object's key is found by where the text lies, a map's by
  // comparing texts, and among ten thousand of them that touches far more memory
  const numbers = Object.create(null) as Record<string, number>
  const add = (sensor: string, number: number): number => {
    if (!former.has(sensor)) known.set(sensor, number)
    numbers[sensor] = number
    return number
  }
  for (const { id, name } of select.all()) add(name, id)
  let made: string[] = []
  return {
    find: sensor => numbers[sensor],
    begin() {
      made = []
    },
    number(sensor) {
      const found = numbers[sensor]
      if (found !== undefined) return found
      made.push(sensor)
      return add(sensor, Number(insert.run(sensor).lastInsertRowid))
    },
    forget() {
      for (const sensor of made) {
        known.delete(sensor)
        delete numbers[sensor]
      }
    },
    all: () => known,
  }
}
