import type { Sensor } from '../../core/shop.js'
import { isRecorded, type RecordedSensor } from './units.js'

/** Which sensors somebody means by an id, a name or a topic; none, one, or several that cannot be told apart. */
export type SensorLookup = (written: string) => readonly RecordedSensor[]

const folded = (text: string): string =>
  text
    .normalize('NFKC')
    .toLowerCase()
    .replace(/[\s_-]+/g, ' ')
    .trim()

/**
 * Exactly as in the shop file first: id, then topic, then name, then what messages call it; failing that, whatever case,
 * blanks, - and _.
 */
export const sensorLookup = (sensors: readonly Sensor[]): SensorLookup => {
  type Key = (sensor: Sensor) => string | undefined
  const keys: Key[] = [s => s.id, s => s.topic, s => s.name, s => s.nameOnBroker]
  const inAnyCase = keys.map<Key>(key => sensor => {
    const text = key(sensor)
    return text === undefined ? undefined : folded(text)
  })
  const maps = [...keys, ...inAnyCase].map(key => {
    const map = new Map<string, RecordedSensor[]>()
    for (const sensor of sensors.filter(isRecorded)) {
      const text = key(sensor)
      if (text !== undefined) map.set(text, [...(map.get(text) ?? []), sensor])
    }
    return map
  })
  return written => {
    const exact = written.trim()
    let inOneCase: string | undefined
    for (const [index, map] of maps.entries()) {
      inOneCase ??= index < keys.length ? undefined : folded(exact)
      const found = map.get(inOneCase ?? exact)
      if (found) return found
    }
    return []
  }
}

const sensorSaid = /^sensor (.*)$/s

/** As somebody said of single headings or names, and otherwise as `lookup` has it. */
export const saidLookup = (lookup: SensorLookup, columns: Readonly<Record<string, string>>): SensorLookup => {
  return written => {
    const use = columns[written]
    if (use === undefined) return lookup(written)
    const id = sensorSaid.exec(use)?.[1]
    return id === undefined ? [] : lookup(id)
  }
}

/** Without a shop file: whatever can be an MQTT topic is a sensor that sends bare numbers in °C to that topic. */
export const topicLookup = (): SensorLookup => {
  const known = new Map<string, RecordedSensor>()
  return written => {
    const topic = written.trim()
    if (topic === '' || /[+#\0]/.test(topic) || Buffer.byteLength(topic) > 65_535) return []
    let sensor = known.get(topic)
    if (!sensor) {
      sensor = {
        id: topic,
        name: topic,
        topic,
        payload: { kind: 'number' },
        unit: '°C',
        interval: 60,
        uncertainty: 0,
        offset: 0,
        at: { kind: 'shop air' },
      }
      known.set(topic, sensor)
    }
    return [sensor]
  }
}
