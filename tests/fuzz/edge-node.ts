import protobuf from 'protobufjs'
import type { Sensor } from '../../core/shop.js'
import { schema } from '../../server/ingest/sparkplug/schema.js'
import type { Claim, Expected } from './expected.js'
import type { Unit } from './oracle.js'
import { metrics as ours } from './shop.js'

/**
 * What Sparkplug messages may say, followed birth by birth with nothing but the library that reads protocol buffers, by
 * the specification (Eclipse Sparkplug 3.0.0, chapters 5 and 6). What is sent is encoded by another library, which has the
 * schema from its own source.
 */
const Payload = protobuf.parse(schema).root.lookupType('org.eclipse.tahu.protobuf.Payload')
interface SentMetric {
  name?: string
  alias?: unknown
  datatype?: number
  timestamp?: unknown
  isNull?: boolean
  properties?: { keys?: string[]; values?: { intValue?: number }[] }
  [value: `${string}Value`]: unknown
}
interface Sent {
  timestamp?: unknown
  seq?: unknown
  metrics: SentMetric[]
}

interface Meaning {
  device: string
  name: string
  datatype: number
}

const has = (message: object, key: string): boolean => Object.keys(message).includes(key)
const whole = (raw: unknown): number => Number(`${raw}`)

const read = (bytes: Uint8Array): Sent | undefined => {
  try {
    return Payload.decode(bytes) as unknown as Sent
  } catch {
    return undefined
  }
}

/** integers as their datatype has them: the wire carries them without a sign (6.4.16) */
const integers: Record<number, (raw: bigint) => number> = {
  1: raw => Int8Array.of(Number(BigInt.asIntN(8, raw)))[0]!,
  2: raw => Int16Array.of(Number(BigInt.asIntN(16, raw)))[0]!,
  3: raw => Int32Array.of(Number(BigInt.asIntN(32, raw)))[0]!,
  4: raw => Number(BigInt64Array.of(BigInt.asIntN(64, raw))[0]),
}

/** everything a metric may say under a datatype; a sound one says one thing, in the field that is its datatype's */
const sayings = (metric: SentMetric, datatype: number): unknown[] => {
  if (metric.isNull) return []
  const found: unknown[] = []
  for (const key of ['intValue', 'longValue'] as const) {
    if (!has(metric, key)) continue
    const isItsField = key === 'intValue' ? datatype <= 3 : datatype === 4
    const signed = isItsField ? integers[datatype] : undefined
    const raw = BigInt(`${metric[key]}`)
    found.push(signed ? signed(raw) : Number(BigInt.asUintN(64, raw)))
  }
  for (const key of ['floatValue', 'doubleValue', 'booleanValue', 'stringValue'] as const)
    if (has(metric, key)) found.push(metric[key])
  return found
}

const isBad = ({ properties }: SentMetric): boolean => {
  const place = properties?.keys?.indexOf('Quality') ?? -1
  const property = place < 0 ? undefined : properties?.values?.[place]
  return property !== undefined && has(property, 'intValue') && property.intValue !== 192
}

const kinds = /^spBv1\.0\/g\/([ND])(BIRTH|DATA|DEATH)\/n(?:\/([^/]+))?$/

interface EdgeNode {
  /** @returns what may become of the message; `undefined` when its topic is none of the node's */
  expected(topic: string, bytes: Uint8Array): Expected | undefined
}

/** Follows the shop's one edge node. */
export const followEdgeNode = (): EdgeNode => {
  let alive = false
  let session: number | null = null
  let last: number | null = null
  const living = new Set<string>()
  const byAlias = new Map<string, Meaning>()
  const byName = new Map<string, Meaning>()

  const on = (device: string): Sensor[] => ours.filter(({ sparkplug }) => (sparkplug?.device ?? '') === device)
  const isOurs = (device: string) => device === '' || on(device).length > 0
  const forget = (device: string) => {
    for (const kept of [byAlias, byName])
      for (const [key, meaning] of kept) if (meaning.device === device) kept.delete(key)
  }

  /** one outcome for each sensor of a metric; a bad metric is one, whosever it is */
  const claimsOf = (metric: SentMetric, meaning: Meaning, { timestamp }: { timestamp: unknown }): Expected => {
    const those = on(meaning.device).filter(({ sparkplug }) => sparkplug?.metric === meaning.name)
    if (those.length === 0) return { claims: [], outcomes: 0 }
    if (isBad(metric)) return { claims: [], outcomes: 1 }
    const ms = has(metric, 'timestamp') ? metric.timestamp : timestamp
    const time: Claim['time'] = ms === undefined ? { kind: 'arrival' } : { kind: 'exactly', ms: whole(ms) }
    const said = sayings(metric, metric.datatype || meaning.datatype)
    return { claims: those.map(sensor => ({ sensor, said, unit: sensor.unit as Unit, time })), outcomes: those.length }
  }

  const all = (found: readonly Expected[]): Expected => ({
    claims: found.flatMap(({ claims }) => claims),
    outcomes: found.reduce((sum, { outcomes }) => sum + outcomes, 0),
  })
  const refused = (count: number): Expected => ({ claims: [], outcomes: count })

  const birth = (device: string, sent: Sent): Expected => {
    forget(device)
    if (isOurs(device)) living.add(device)
    const named = sent.metrics.filter(metric => has(metric, 'name'))
    return all(
      named.map(metric => {
        const meaning = { device, name: `${metric.name}`, datatype: metric.datatype ?? 0 }
        if (isOurs(device)) {
          if (has(metric, 'alias')) byAlias.set(`${metric.alias}`, meaning)
          byName.set(`${device}/${metric.name}`, meaning)
        }
        return claimsOf(metric, meaning, { timestamp: has(sent, 'timestamp') ? sent.timestamp : undefined })
      }),
    )
  }

  const data = (device: string, sent: Sent): Expected =>
    all(
      sent.metrics.map(metric => {
        const meaning = has(metric, 'name')
          ? byName.get(`${device}/${metric.name}`)
          : byAlias.get(has(metric, 'alias') ? `${metric.alias}` : '')
        if (!meaning) return refused(1)
        return claimsOf(metric, meaning, { timestamp: has(sent, 'timestamp') ? sent.timestamp : undefined })
      }),
    )

  /** of a birth or a death; it ties the two together (6.4.20) */
  const sessionOf = (sent: Sent): number | null => {
    const metric = sent.metrics.find(each => has(each, 'name') && each.name === 'bdSeq')
    const value = metric && sayings(metric, 0)[0]
    return typeof value === 'number' ? value : null
  }

  const node = (what: string, sent: Sent): Expected => {
    if (what === 'DEATH') {
      const its = sessionOf(sent)
      if (alive && session !== null && its !== null && its !== session) return refused(1)
      alive = false
      return refused(0)
    }
    if (what === 'BIRTH') {
      alive = true
      session = sessionOf(sent)
      last = has(sent, 'seq') ? whole(sent.seq) : null
      living.clear()
      byAlias.clear()
      byName.clear()
      return birth('', sent)
    }
    return alive ? data('', sent) : refused(1)
  }

  /** a message is missing before this one (6.4.6): said, while this one counts */
  const gaps = (sent: Sent): number => {
    if (!alive || !has(sent, 'seq')) return 0
    const before = last
    last = whole(sent.seq)
    return before === null || last === before || last === (before + 1) % 256 ? 0 : 1
  }

  const device = (what: string, name: string, sent: Sent): Expected => {
    if (what === 'DEATH') {
      if (alive) living.delete(name)
      return refused(0)
    }
    if (!alive) return refused(1)
    if (what === 'BIRTH') return birth(name, sent)
    if (living.has(name)) return data(name, sent)
    return refused(isOurs(name) ? 1 : 0)
  }

  return {
    expected(topic, bytes) {
      const parts = kinds.exec(topic)
      const [, whose, what = '', name] = parts ?? []
      if (!parts || (whose === 'N') !== (name === undefined)) return undefined
      const sent = read(bytes)
      if (!sent) return refused(1)
      if (name === undefined && what !== 'DATA') return node(what, sent)
      const missing = gaps(sent)
      return all([refused(missing), name === undefined ? node(what, sent) : device(what, name, sent)])
    },
  }
}
