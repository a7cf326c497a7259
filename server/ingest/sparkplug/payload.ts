import { encodePayload } from 'sparkplug-payload/lib/sparkplugbpayload.js'
import proto from 'sparkplug-payload/lib/sparkplugPayloadProto.js'

/**
 * The library's own decoding of metrics leaves out every value whose datatype is not sent along, as data messages do
 * not, and takes large unsigned integers for negative ones; so values are taken here from its generated messages.
 */
const { Payload } = proto.org.eclipse.tahu.protobuf
type SentPayload = InstanceType<typeof Payload>
type SentMetric = SentPayload['metrics'][number]
type SentInteger = number | { toString(): string } | null | undefined

/** One metric as it was sent. */
export interface Metric {
  name?: string
  /** decimal, as 64-bit integers come */
  alias?: string
  /** code of the datatype; 0 when not sent */
  datatype: number
  /** null when it is sent as null, or has no value that one sensor could measure (a file, a template) */
  valueAs(datatype: number): number | string | boolean | null
  /** ms since 1970 */
  time?: number
  /** the value of the property Quality: 192 good, 0 bad, 500 stale */
  quality?: number
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
const good = 192

const own = (message: object, field: string): boolean => Object.hasOwn(message, field)
const toInteger = (raw: SentInteger): number => Number(String(raw))

const signed = (raw: number, datatype: number): number => {
  if (datatype === int8) return (raw << 24) >> 24
  if (datatype === int16) return (raw << 16) >> 16
  return datatype === int32 ? raw | 0 : raw
}

const valueAs = (sent: SentMetric, datatype: number): number | string | boolean | null => {
  if (sent.isNull) return null
  if (own(sent, 'intValue')) return signed(sent.intValue ?? Number.NaN, datatype)
  if (own(sent, 'longValue')) {
    const whole = BigInt(String(sent.longValue))
    return Number(datatype === int64 ? BigInt.asIntN(64, whole) : BigInt.asUintN(64, whole))
  }
  if (own(sent, 'floatValue')) return sent.floatValue ?? null
  if (own(sent, 'doubleValue')) return sent.doubleValue ?? null
  if (own(sent, 'booleanValue')) return sent.booleanValue ?? null
  return own(sent, 'stringValue') ? (sent.stringValue ?? null) : null
}

const qualityOf = ({ properties }: SentMetric): number | undefined => {
  const found = properties?.values?.[properties.keys?.indexOf('Quality') ?? -1]
  return found && own(found, 'intValue') ? (found.intValue ?? undefined) : undefined
}

const metricOf = (sent: SentMetric): Metric => {
  const quality = qualityOf(sent)
  return {
    ...(typeof sent.name === 'string' && own(sent, 'name') && { name: sent.name }),
    ...(own(sent, 'alias') && { alias: String(sent.alias) }),
    datatype: sent.datatype ?? 0,
    valueAs: datatype => valueAs(sent, datatype),
    ...(own(sent, 'timestamp') && { time: toInteger(sent.timestamp) }),
    ...(quality !== undefined && { quality }),
  }
}

/** @returns `undefined` for what is no Sparkplug B payload (Google protocol buffers) */
export const readPayload = (bytes: Uint8Array): Payload | undefined => {
  try {
    const sent = Payload.decode(bytes)
    return {
      ...(own(sent, 'timestamp') && { time: toInteger(sent.timestamp) }),
      ...(own(sent, 'seq') && { seq: toInteger(sent.seq) }),
      metrics: sent.metrics.map(metricOf),
    }
  } catch {
    return undefined
  }
}

export const isGood = ({ quality = good }: Metric): boolean => quality === good

/**
 * Asks a node for its births, as an NCMD.
 *
 * @param now ms since 1970
 * @see Eclipse Sparkplug Specification 3.0.0, Node Control/Rebirth
 */
export const rebirthRequest = (now: number): Buffer =>
  Buffer.from(
    encodePayload({
      timestamp: now,
      metrics: [{ name: 'Node Control/Rebirth', timestamp: now, type: 'Boolean', value: true }],
    }),
  )
