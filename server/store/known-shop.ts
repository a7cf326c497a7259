import type { Database } from 'better-sqlite3'
import { isThermometer, type Sensor, type Shop } from '../../core/shop.js'
import type { StoreAnswer } from '../http/schemas/answers.js'
import { type FormerIds, formerIdsOf } from '../shop/formerly.js'
import { type FactKind, factKinds } from './fact-kinds.js'
import type { Newest } from './newest.js'
import type { SensorNumbers } from './sensors.js'
import { StoreError } from './store-error.js'

/** As much of a shop as the store must know. */
export type StoredShop = Pick<Shop, 'sensors' | 'machines' | 'workClasses'>

/** Ids that something is stored under and the shop file does not know, neither as present nor as former ones. */
export type Unclaimed = StoreAnswer['unclaimed']

type Kind = 'temperature' | 'state' | 'speed' | 'length'
const kindOf = ({ unit }: Sensor): Kind =>
  unit === 'state' ? 'state' : unit === '1/min' ? 'speed' : isThermometer({ unit }) ? 'temperature' : 'length'

/**
 * The former numbers of sensors, by the number each has now.
 *
 * @param former ids, each with the one of now
 */
export const formerNumbers = (sensors: SensorNumbers, former: FormerIds['sensors']): Map<number, number[]> => {
  const found = new Map<number, number[]>()
  for (const [before, now] of former) {
    const [old, present] = [sensors.find(before), sensors.find(now)]
    if (old !== undefined && present !== undefined) found.set(present, [...(found.get(present) ?? []), old])
  }
  return found
}

/**
 * Gives every sensor of the shop its number and notes what it tells.
 *
 * @throws StoreError when stored values would be read as what they are not; then nothing is changed
 */
export const adoptShop = (db: Database, shop: StoredShop, sensors: SensorNumbers, newest: Newest): void => {
  const noted = db.prepare<[number], Kind | null>('SELECT tells FROM sensors WHERE id = ?').pluck()
  const note = db.prepare<[Kind, number]>('UPDATE sensors SET tells = ? WHERE id = ? AND tells IS NULL')
  /** as noted; in a database of before, temperatures are known by their values */
  const storedKind = (number: number): Kind | null => {
    const kind = noted.get(number) ?? null
    return kind ?? (newest.at(number) >= 0 && ![0, 1].includes(newest.value(number)) ? 'temperature' : null)
  }
  const wrong: string[] = []
  const adopt = db.transaction(() => {
    for (const sensor of shop.sensors) {
      const kind = kindOf(sensor)
      for (const id of [sensor.id, ...(sensor.formerly ?? [])]) {
        const number = id === sensor.id ? sensors.number(id) : sensors.find(id)
        if (number === undefined) continue
        const stored = storedKind(number)
        if (stored !== null && stored !== kind) wrong.push(`"${id}" (${stored}s stored, "${sensor.id}" tells ${kind}s)`)
        else note.run(kind, number)
      }
    }
    if (wrong.length > 0)
      throw new StoreError(
        `Stored values would be read as what they are not: ${wrong.join(', ')}. Nothing was changed. In the shop file, ` +
          'correct the unit of the sensor; or, if another sensor took its place, give that one an id of its own and do not ' +
          'name the old one under formerly: what is stored stays under the old id.',
      )
  })
  sensors.begin()
  try {
    adopt.immediate()
  } catch (error) {
    sensors.forget()
    throw error
  }
}

const aboutMachines = (Object.keys(factKinds) as FactKind[]).filter(kind => factKinds[kind].subject === 'machine')

export const unclaimedIn = (db: Database, shop: StoredShop, sensors: SensorNumbers, newest: Newest): Unclaimed => {
  const former = formerIdsOf(shop)
  const unknown = (stored: Iterable<string>, now: readonly { id: string }[], before: ReadonlyMap<string, string>) => {
    const ids = new Set(now.map(({ id }) => id))
    return [...stored].filter(id => !ids.has(id) && !before.has(id)).sort()
  }
  const distinct = (column: string, kinds: readonly string[]) =>
    db
      .prepare<string[], string>(`SELECT DISTINCT ${column} FROM facts WHERE kind IN (${kinds.map(() => '?').join()})`)
      .pluck()
      .all(...kinds)
  const reported = [...sensors.all()].filter(([, number]) => newest.at(number) >= 0).map(([id]) => id)
  return {
    sensors: unknown(reported, shop.sensors, former.sensors),
    machines: unknown(distinct('subject', aboutMachines), shop.machines, former.machines),
    workClasses: unknown(distinct('part', ['verdict']), shop.workClasses, former.workClasses),
  }
}

/** A sentence for the log; null when nothing is left over. */
export const unclaimedWords = ({ sensors, machines, workClasses }: Unclaimed): string | null => {
  const named = Object.entries({ sensors, machines, 'work classes': workClasses }).flatMap(([what, ids]) =>
    ids.length > 0
      ? `${what} ${ids.slice(0, 20).join(', ')}${ids.length > 20 ? ` and ${ids.length - 20} more` : ''}`
      : [],
  )
  return named.length > 0
    ? `The database holds history of what the shop file does not know: ${named.join('; ')}. If one of them was renamed, ` +
        'write formerly: and its former id at the entry it has now, and its history is found again.'
    : null
}
