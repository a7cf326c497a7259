import type { Sensor } from '../../core/shop.js'

/** Which sensors somebody means by an id, a name or a topic; none, one, or several that cannot be told apart. */
export type SensorLookup = (written: string) => readonly Sensor[]

const folded = (text: string): string =>
  text
    .normalize('NFKC')
    .toLowerCase()
    .replace(/[\s_-]+/g, ' ')
    .trim()

/** Exactly as in the shop file first: id, then topic, then name; failing that, whatever case, blanks, - and _. */
export const sensorLookup = (sensors: readonly Sensor[]): SensorLookup => {
  const keys = [(s: Sensor) => s.id, (s: Sensor) => s.topic, (s: Sensor) => s.name]
  const maps = [...keys, ...keys.map(key => (s: Sensor) => folded(key(s)))].map(key => {
    const map = new Map<string, Sensor[]>()
    for (const sensor of sensors) map.set(key(sensor), [...(map.get(key(sensor)) ?? []), sensor])
    return map
  })
  return written => {
    const exact = written.trim()
    for (const [index, map] of maps.entries()) {
      const found = map.get(index < keys.length ? exact : folded(exact))
      if (found) return found
    }
    return []
  }
}

/** Without a shop file: whatever can be an MQTT topic is a sensor that sends bare numbers in °C to that topic. */
export const topicLookup = (): SensorLookup => {
  const known = new Map<string, Sensor>()
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
