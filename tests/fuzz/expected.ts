import type { Sensor } from '../../core/shop.js'
import { json, mayBeAt, mayStand, type Unit, unitNamed } from './oracle.js'
import { listed, mapped, plain, radio } from './shop.js'

/** A reading that a message may legitimately hold. */
export interface Claim {
  sensor: Sensor
  /** what it says; a metric can say several things at once, and any of them may count */
  said: readonly unknown[]
  unit: Unit
  time: { kind: 'arrival' } | { kind: 'exactly'; ms: number } | { kind: 'as said'; said: unknown }
}

/** What may become of a message. */
export interface Expected {
  claims: Claim[]
  /** readings, refusals and unassigned names that it must end as, all together */
  outcomes: number
}

type Open = { [key: string]: unknown } | undefined
const field = (of: unknown, key: string): unknown =>
  typeof of === 'object' && of !== null && !Array.isArray(of) && Object.keys(of).includes(key)
    ? (of as Open)?.[key]
    : undefined
const firstOf = (of: unknown): unknown => (Array.isArray(of) ? of[0] : field(of, '0'))

const one = (...claims: Claim[]): Expected => ({ claims, outcomes: 1 })
const claim = (sensor: Sensor, said: unknown, time: Claim['time'], unit: Unit = sensor.unit as Unit): Claim => ({
  sensor,
  said: [said],
  unit,
  time,
})

/** what a name stands for in a message; undefined: it is none */
const nameIn = (raw: unknown): string | undefined =>
  typeof raw === 'string' || typeof raw === 'number' ? `${raw}`.trim() : undefined

/** @param of what one item of the list claims */
const inList = (list: unknown, of: (item: unknown) => Claim[]): Expected =>
  !Array.isArray(list) || list.length > 1000 ? one() : { claims: list.flatMap(of), outcomes: list.length }

const called = (those: readonly Sensor[], name: string | undefined): Sensor[] =>
  those.filter(({ id, nameOnBroker }) => name !== undefined && name === (nameOnBroker ?? id))

const asSaid = (of: unknown, key: string): Claim['time'] => ({ kind: 'as said', said: field(of, key) })

const inGateway = (line: string, message: unknown): Expected =>
  inList(field(message, 'data'), item => {
    const name = nameIn(field(item, 'id'))
    const said = field(item, 'u')
    return called(mapped, name === undefined ? undefined : `${line}/${name}`).flatMap(sensor => {
      const unit = said === undefined || said === null ? (sensor.unit as Unit) : unitNamed(said)
      return unit ? [claim(sensor, firstOf(field(item, 't')), asSaid(item, 'at'), unit)] : []
    })
  })

const ofSensor = (sensor: Sensor, text: string): Expected => {
  if (sensor.payload.kind === 'number') return one(claim(sensor, text, { kind: 'arrival' }))
  const message = json(text)
  if (sensor.id !== 'deep') return one(claim(sensor, field(message, 'value'), asSaid(message, 'time')))
  const deep = field(message, 'a')
  return one(claim(sensor, firstOf(field(deep, 'b')), asSaid(deep, 't')))
}

const [alone, ...together] = listed

/** What a message on any topic but Sparkplug's may be, read plainly and apart from the service. */
export const expected = (topic: string, payload: Uint8Array): Expected => {
  if (payload.length > 65_536) return one()
  // a byte order mark is no part of the text (Unicode, 23.8)
  const text = () => new TextDecoder().decode(payload)
  const sensor = [...plain, radio].find(each => each.topic === topic)
  if (sensor) return ofSensor(sensor, text())
  if (topic === 'list/whole')
    return inList(json(text()), item => (alone ? [claim(alone, field(item, 'v'), asSaid(item, 't'))] : []))
  if (topic === 'list/named')
    return inList(field(field(json(text()), 'data'), 'list'), item =>
      called(together, nameIn(field(item, 'id'))).map(each => claim(each, field(item, 'v'), asSaid(item, 't'))),
    )
  const [first, line = '', last = '', ...more] = topic.split('/')
  if (more.length > 0 || line === '') return one()
  if (first === 'plant' && last === 'temperature')
    return one(...called(mapped, line).map(each => claim(each, text(), { kind: 'arrival' })))
  return first === 'gateway' && last.startsWith('box_') && last.length > 4 ? inGateway(line, json(text())) : one()
}

interface Row {
  sensor: string
  at: number
  value: number
}

/** @param arrived ms; null when nobody can know how old a message without a time is */
const mayBe = (row: Row, { sensor, said, unit, time }: Claim, arrived: number | null): boolean => {
  if (row.sensor !== sensor.id || !said.some(each => mayStand(row.value, each, unit, sensor.scale))) return false
  if (time.kind === 'arrival') return row.at === arrived
  return time.kind === 'exactly' ? row.at === time.ms : mayBeAt(row.at, time.said)
}

/** @returns rows that no claim of the message stands behind, each claim standing behind one */
export const falseRows = <R extends Row>(rows: readonly R[], claims: readonly Claim[], arrived: number | null): R[] => {
  const left = [...claims]
  return rows.filter(row => {
    const found = left.findIndex(each => mayBe(row, each, arrived))
    if (found >= 0) left.splice(found, 1)
    return found < 0
  })
}
