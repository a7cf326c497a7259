import { encodePayload, type UMetric } from 'sparkplug-payload/lib/sparkplugbpayload.js'
import proto from 'sparkplug-payload/lib/sparkplugPayloadProto.js'

const { Payload } = proto.org.eclipse.tahu.protobuf

/** a payload as an edge node sends it, encoded by the library */
export const payload = (metrics: readonly UMetric[], seq?: number, timestamp?: number): Buffer =>
  Buffer.from(
    encodePayload({
      ...(timestamp !== undefined && { timestamp }),
      ...(seq !== undefined && { seq }),
      metrics: [...metrics],
    }),
  )

/**
 * The same without the datatypes, as data messages are sent.
 *
 * @see Eclipse Sparkplug Specification 3.0.0, tck-id-payloads-metric-datatype-not-req: the datatype SHOULD NOT be
 * included with metrics in NDATA and DDATA
 */
export const withoutDatatypes = (encoded: Uint8Array): Buffer => {
  const message = Payload.decode(encoded)
  for (const metric of message.metrics) delete metric.datatype
  return Buffer.from(Payload.encode(message).finish())
}

/** a data message: aliases only, no names, no datatypes (tck-id-payloads-alias-data-cmd-requirement) */
export const data = (values: readonly (Omit<UMetric, 'name'> & { alias: number })[], seq: number): Buffer =>
  withoutDatatypes(payload(values, seq))

export const bdSeq = (value: number): UMetric => ({ name: 'bdSeq', type: 'Int64', value })
