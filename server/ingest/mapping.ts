import type { PayloadForm, Sensor, TopicMapping } from '../../core/shop.js'
import { grouped } from '../grouped.js'
import { filledIn, topicPattern } from './topic-pattern.js'

/** the part of a sensor's name that comes from the message */
export const namePart = 'name'

/** How the messages on one topic are read, and whose they are. */
export interface Route {
  form: PayloadForm
  /** how the shop file's mapping calls the sensor of a message (or item) that calls itself so; '' when nothing does */
  nameOf(inMessage: string): string
  /** empty: the shop has no sensor of that name */
  sensors(name: string): readonly Sensor[]
}

const nameOnBroker = ({ id, nameOnBroker: name = id }: Sensor): string => name

/** sensors of one topic that read its messages in the same way */
const ownRoute = (sensors: readonly Sensor[]): Route => {
  const form = sensors[0]!.payload
  const byName = grouped(sensors, nameOnBroker)
  const named = form.kind === 'json' && form.name !== undefined
  return { form, nameOf: name => name, sensors: name => (named ? (byName.get(name) ?? []) : sensors) }
}

/**
 * Who reads a topic: sensors that have it as their own; else the first of the shop's patterns that fits.
 *
 * @returns a function from a topic to its routes; none for a topic nobody reads
 */
export const createMapping = (
  sensors: readonly Sensor[],
  mappings: readonly TopicMapping[] = [],
): ((topic: string) => readonly Route[]) => {
  const own = new Map<string, Route[]>()
  for (const [topic, those] of grouped(
    sensors.filter(sensor => sensor.topic !== undefined),
    sensor => sensor.topic!,
  ))
    own.set(topic, [...grouped(those, ({ payload }) => JSON.stringify(payload)).values()].map(ownRoute))

  const byName = grouped(
    sensors.filter(sensor => sensor.topic === undefined && !sensor.sparkplug),
    nameOnBroker,
  )
  const patterns = mappings.map(mapping => ({ ...mapping, ...topicPattern(mapping.pattern) }))
  const find = (name: string) => byName.get(name) ?? []

  return topic => {
    const routes = own.get(topic)
    if (routes) return routes
    for (const { match, payload, sensor } of patterns) {
      const parts = match(topic)
      if (parts)
        return [{ form: payload, nameOf: name => filledIn(sensor, { ...parts, [namePart]: name }), sensors: find }]
    }
    return []
  }
}
