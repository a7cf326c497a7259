import type { BatteryForm, Sensor, SignalForm } from '../../../core/shop.js'
import type { Telling } from '../condition.js'
import { type RefusalReason, reasons } from '../reasons.js'
import { isGood, type Metric, mostMetrics, type Payload, readPayload } from './payload.js'
import { nodeKey, type SparkplugTopic } from './topic.js'

/** An edge node that was asked for, or has something to be asked for. */
export interface SparkplugNode {
  group: string
  node: string
}

/** What one Sparkplug message says, for the decoder to judge by the same rules as every other message. */
export interface SparkplugMessage {
  values: { sensor: Sensor; raw: number | string | boolean | null; time: number | undefined }[]
  /** what devices tell of their batteries and radios */
  telling: ({ sensor: Sensor; time: number | undefined } & Telling)[]
  refused: { reason: RefusalReason; note: string }[]
  /** metrics of a birth that no sensor of the shop is; none for other messages */
  unassigned: { name: string; value: string }[]
  /** sensors whose node or device has died (why), or lives again (null) */
  lost: { sensors: string[]; reason: string | null }[]
  /** a node whose birth would be needed */
  rebirth?: SparkplugNode
}

interface SparkplugSessions {
  /** whether the shop has sensors on that node */
  knows(topic: SparkplugTopic): boolean
  read(topic: SparkplugTopic, bytes: Uint8Array): SparkplugMessage
  /** messages, and with them deaths, may have been missed: what was born is not known any more */
  forget(): void
  /** nodes whose birth is not known */
  unborn(): SparkplugNode[]
}

/** Whose battery or signal a metric is. */
interface Teller {
  sensor: Sensor
  battery?: BatteryForm
  signal?: SignalForm
}

interface Known {
  device: string
  /** whose readings it is */
  sensors: readonly Sensor[]
  tellers: readonly Teller[]
  datatype: number
}

interface Session {
  /** number of the session, by which a death belongs to its birth; null when the birth had none */
  bdSeq: number | null
  /** of the newest message; 0 to 255 */
  seq: number | null
  byAlias: Map<string, Known>
  /** by device ('' the node itself) and name */
  byName: Map<string, Known>
  devices: Set<string>
}

interface Node extends SparkplugNode {
  sensors: Sensor[]
  /** by device and name */
  byMetric: Map<string, Pick<Known, 'sensors' | 'tellers'>>
}

const bdSeqName = 'bdSeq'
/** control and information of the node itself, never a measured value */
const nodeControl = /^(?:Node|Device) Control\/|^bdSeq$/
/** codes of the datatypes that a measured value can have: integers, floating point, Boolean, String, Text */
const measurable: ReadonlySet<number> = new Set([1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 14])

const nobody: Pick<Known, 'sensors' | 'tellers'> = { sensors: [], tellers: [] }

const nameKey = (device: string, name: string): string => `${device}/${name}`

const bdSeqOf = ({ metrics }: Payload): number | null => {
  const value = metrics.find(({ name }) => name === bdSeqName)?.valueAs(0)
  return typeof value === 'number' ? value : null
}

/**
 * Follows the sessions of the edge nodes that the shop's sensors are metrics of: births say which alias is which metric,
 * deaths say at once that its sensors are gone. Keeps no more than the newest birth of each node and device that the shop
 * file names, whatever is born beside them. Never throws.
 *
 * @see Eclipse Sparkplug Specification 3.0.0, chapters 5 (Operational Behavior) and 6 (Payloads)
 */
export const createSparkplugSessions = (sensors: readonly Sensor[]): SparkplugSessions => {
  const nodes = new Map<string, Node>()
  const sessions = new Map<string, Session>()
  for (const sensor of sensors) {
    if (!sensor.sparkplug) continue
    const { group, node, device = '', metric } = sensor.sparkplug
    const known: Node = nodes.get(nodeKey(sensor.sparkplug)) ?? { group, node, sensors: [], byMetric: new Map() }
    const { battery, signal } = sensor.sparkplug
    const add = (name: string, sensors: Sensor[], tellers: Teller[]) => {
      const there = known.byMetric.get(nameKey(device, name)) ?? nobody
      known.byMetric.set(nameKey(device, name), {
        sensors: [...there.sensors, ...sensors],
        tellers: [...there.tellers, ...tellers],
      })
    }
    known.sensors.push(sensor)
    add(metric, [sensor], [])
    if (battery) add(battery.at, [], [{ sensor, battery }])
    if (signal) add(signal.at, [], [{ sensor, signal }])
    nodes.set(nodeKey(sensor.sparkplug), known)
  }

  const sensorsOf = (topic: SparkplugTopic): Sensor[] => nodes.get(nodeKey(topic))?.sensors ?? []
  const onDevice = (topic: SparkplugTopic): string[] =>
    sensorsOf(topic).flatMap(({ id, sparkplug }) => (sparkplug?.device === topic.device ? [id] : []))

  /** Of devices without a sensor of the shop nothing is kept: a node could name new ones without end. */
  const isOurs = (topic: SparkplugTopic): boolean => topic.device === undefined || onDevice(topic).length > 0

  const take = (message: SparkplugMessage, payload: Payload, metric: Metric, known: Known) => {
    const { sensors: those, tellers, datatype } = known
    if (those.length + tellers.length === 0) return
    if (!isGood(metric)) {
      message.refused.push({ reason: reasons.badQuality, note: ` (quality ${metric.quality})` })
      return
    }
    const raw = metric.valueAs(metric.datatype || datatype)
    const time = metric.time ?? payload.time
    for (const sensor of those) message.values.push({ sensor, raw, time })
    for (const { sensor, battery, signal } of tellers)
      message.telling.push({
        sensor,
        time,
        ...(battery && { battery: { form: battery, raw } }),
        ...(signal && { signal: { form: signal, raw } }),
      })
  }

  const learn = (topic: SparkplugTopic, session: Session, payload: Payload, message: SparkplugMessage): void => {
    const device = topic.device ?? ''
    const byMetric = nodes.get(nodeKey(topic))?.byMetric
    const ours = isOurs(topic)
    if (ours) session.devices.add(device)
    for (const known of [session.byName, session.byAlias])
      for (const [key, metric] of known) if (metric.device === device) known.delete(key)
    for (const metric of payload.metrics) {
      const { name, alias, datatype } = metric
      if (name === undefined) continue
      const those = byMetric?.get(nameKey(device, name)) ?? nobody
      const known = { sensors: those.sensors, tellers: those.tellers, device, datatype }
      if (ours) {
        if (alias !== undefined) session.byAlias.set(alias, known)
        session.byName.set(nameKey(device, name), known)
      }
      if (those !== nobody) take(message, payload, metric, known)
      else if (measurable.has(datatype) && !nodeControl.test(name))
        message.unassigned.push({ name, value: String(metric.valueAs(datatype)) })
    }
    message.lost.push({ sensors: onDevice(topic), reason: null })
  }

  const inSequence = (session: Session, { seq }: Payload, topic: SparkplugTopic, message: SparkplugMessage): void => {
    const last = session.seq
    if (seq === undefined) return
    session.seq = seq
    // the same again is the same message sent again
    if (last === null || seq === last || seq === (last + 1) % 256) return
    message.refused.push({ reason: reasons.gap, note: ` (sequence ${last}, then ${seq})` })
    message.rebirth = { group: topic.group, node: topic.node }
  }

  const data = (topic: SparkplugTopic, session: Session, payload: Payload, message: SparkplugMessage): void => {
    for (const metric of payload.metrics) {
      const { alias, name } = metric
      const known =
        name === undefined ? session.byAlias.get(alias ?? '') : session.byName.get(nameKey(topic.device ?? '', name))
      if (known) take(message, payload, metric, known)
      else {
        message.refused.push({ reason: reasons.unknownAlias, note: ` (${name ?? `alias ${alias ?? 'none'}`})` })
        message.rebirth = { group: topic.group, node: topic.node }
      }
    }
  }

  const nodeDeath = (topic: SparkplugTopic, payload: Payload, message: SparkplugMessage): void => {
    const session = sessions.get(nodeKey(topic))
    const bdSeq = bdSeqOf(payload)
    if (session && session.bdSeq !== null && bdSeq !== null && bdSeq !== session.bdSeq) {
      message.refused.push({ reason: reasons.oldDeath, note: ` (bdSeq ${bdSeq}, the birth's is ${session.bdSeq})` })
      return
    }
    sessions.delete(nodeKey(topic))
    const gone = sensorsOf(topic).map(({ id }) => id)
    message.lost.push({ sensors: gone, reason: `its edge node ${topic.node} has lost the broker` })
  }

  /** A birth that is not read makes the aliases of the one before it mean something else. */
  const unbear = ({ kind, device, ...node }: SparkplugTopic): void => {
    if (kind === 'NBIRTH') sessions.delete(nodeKey(node))
    if (kind === 'DBIRTH') sessions.get(nodeKey(node))?.devices.delete(device ?? '')
  }

  const follow = (topic: SparkplugTopic, payload: Payload, message: SparkplugMessage): void => {
    if (topic.kind === 'NDEATH') {
      nodeDeath(topic, payload, message)
      return
    }
    if (topic.kind === 'NBIRTH') {
      const session: Session = {
        bdSeq: bdSeqOf(payload),
        seq: payload.seq ?? null,
        byAlias: new Map(),
        byName: new Map(),
        devices: new Set(),
      }
      sessions.set(nodeKey(topic), session)
      learn(topic, session, payload, message)
      return
    }
    const session = sessions.get(nodeKey(topic))
    if (session) inSequence(session, payload, topic, message)
    if (topic.kind === 'DDEATH') {
      session?.devices.delete(topic.device ?? '')
      const reason = `its device ${topic.device} has left the edge node ${topic.node}`
      message.lost.push({ sensors: onDevice(topic), reason })
    } else if (session && topic.kind === 'DBIRTH') learn(topic, session, payload, message)
    else if (session?.devices.has(topic.device ?? '')) data(topic, session, payload, message)
    else if (!session || isOurs(topic)) {
      message.refused.push({ reason: reasons.beforeBirth, note: '' })
      message.rebirth = { group: topic.group, node: topic.node }
    }
  }

  return {
    knows: topic => nodes.has(nodeKey(topic)),
    read(topic, bytes) {
      const message: SparkplugMessage = { values: [], telling: [], refused: [], unassigned: [], lost: [] }
      const payload = readPayload(bytes)
      if (payload === 'not a payload') message.refused.push({ reason: reasons.notSparkplug, note: '' })
      else if (payload === 'too many metrics') {
        message.refused.push({ reason: reasons.manyMetrics, note: ` (more than ${mostMetrics})` })
        unbear(topic)
      } else follow(topic, payload, message)
      return message
    },
    forget: () => sessions.clear(),
    unborn: () => [...nodes].flatMap(([key, { group, node }]) => (sessions.has(key) ? [] : [{ group, node }])),
  }
}
