import protobuf from 'protobufjs'
import { schema } from './schema.js'

/** the most metrics taken in one message: the birth of an edge node has thousands */
export const mostMetrics = 10_000

const Message = protobuf.parse(schema).root.lookupType('org.eclipse.tahu.protobuf.Payload')
const { metrics: metricsField } = Message.fields
/** number and wire type of a metric: how each begins in the message */
const metricTag = (metricsField!.id << 3) | 2

type SentInteger = number | { toString(): string }
/** The fields of a message that was decoded; only those that were sent are its own. */
interface SentMetric {
  name?: string
  alias?: SentInteger
  timestamp?: SentInteger
  datatype?: number
  isNull?: boolean
  properties?: { keys: string[]; values: { intValue?: number }[] }
  intValue?: number
  longValue?: SentInteger
  floatValue?: number
  doubleValue?: number
  booleanValue?: boolean
  stringValue?: string
}
interface SentPayload {
  timestamp?: SentInteger
  seq?: SentInteger
  metrics: SentMetric[]
}

/** One metric as it was sent. */
export interface Metric {
  readonly name: string | undefined
  /** decimal, as 64-bit integers come */
  readonly alias: string | undefined
  /** code of the datatype; 0 when not sent */
  readonly datatype: number
  /** null when it is sent as null, or has no value that one sensor could measure (a file, a template) */
  valueAs(datatype: number): number | string | boolean | null
  /** ms since 1970 */
  readonly time: number | undefined
  /** the value of the property Quality: 192 good, 0 bad, 500 stale */
  readonly quality: number | undefined
}

export interface Payload {
  time?: number
  seq?: number
  metrics: Metric[]
}

const int8 = 1
const int16 = 2
const int32 = 3
const int64 = 4
const boolean = 11
const good = 192

const own = <T extends object, K extends keyof T>(message: T, field: K): message is T & Required<Pick<T, K>> =>
  Object.hasOwn(message, field)
const toInteger = (raw: SentInteger): number => Number(String(raw))

const signed = (raw: number, datatype: number): number => {
  if (datatype === int8) return (raw << 24) >> 24
  if (datatype === int16) return (raw << 16) >> 16
  return datatype === int32 ? raw | 0 : raw
}

const valueAs = (sent: SentMetric, datatype: number): number | string | boolean | null => {
  if (sent.isNull) return null
  if (own(sent, 'intValue')) return signed(sent.intValue, datatype)
  if (own(sent, 'longValue')) {
    const whole = BigInt(String(sent.longValue))
    return Number(datatype === int64 ? BigInt.asIntN(64, whole) : BigInt.asUintN(64, whole))
  }
  if (own(sent, 'floatValue')) return sent.floatValue
  if (own(sent, 'doubleValue')) return sent.doubleValue
  if (own(sent, 'booleanValue')) return sent.booleanValue
  return own(sent, 'stringValue') ? sent.stringValue : null
}

const qualityOf = ({ properties }: SentMetric): number | undefined => {
  const found = properties?.values[properties.keys.indexOf('Quality')]
  return found && own(found, 'intValue') ? found.intValue : undefined
}

/** Reads a metric's fields when they are asked for: of the thousands in a birth, most are no sensor's. */
class ReceivedMetric implements Metric {
  constructor(private readonly sent: SentMetric) {}
  get name() {
    return own(this.sent, 'name') ? this.sent.name : undefined
  }
  get alias() {
    return own(this.sent, 'alias') ? String(this.sent.alias) : undefined
  }
  get datatype() {
    return this.sent.datatype ?? 0
  }
  get time() {
    return own(this.sent, 'timestamp') ? toInteger(this.sent.timestamp) : undefined
  }
  get quality() {
    return qualityOf(this.sent)
  }
  valueAs(datatype: number) {
    return valueAs(this.sent, datatype)
  }
}

/** stops counting beyond `mostMetrics`; @throws Error when the bytes are no message */
const countMetrics = (bytes: Uint8Array): number => {
  const reader = protobuf.Reader.create(bytes)
  let count = 0
  while (reader.pos < reader.len && count <= mostMetrics) {
    const tag = reader.uint32()
    if (tag === metricTag) count += 1
    reader.skipType(tag & 7)
  }
  return count
}

/** @returns why it is none in place of a Sparkplug B payload (Google protocol buffers) */
export const readPayload = (bytes: Uint8Array): Payload | 'not a payload' | 'too many metrics' => {
  try {
    if (countMetrics(bytes) > mostMetrics) return 'too many metrics'
    const sent = Message.decode(bytes) as unknown as SentPayload
    return {
      ...(own(sent, 'timestamp') && { time: toInteger(sent.timestamp) }),
      ...(own(sent, 'seq') && { seq: toInteger(sent.seq) }),
      metrics: sent.metrics.map(metric => new ReceivedMetric(metric)),
    }
  } catch {
    return 'not a payload'
  }
}

export const isGood = ({ quality = good }: Metric): boolean => quality === good

/**
 * Asks a node for its births, as an NCMD.
 *
 * @param now ms since 1970
 * @see Eclipse Sparkplug Specification 3.0.0, Node Control/Rebirth
 */
export const rebirthRequest = (now: number): Buffer => {
  const metric = { name: 'Node Control/Rebirth', timestamp: now, datatype: boolean, booleanValue: true }
  return Buffer.from(Message.encode(Message.create({ timestamp: now, metrics: [metric] })).finish())
}
