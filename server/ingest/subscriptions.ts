import type { Sensor, TopicMapping } from '../../core/shop.js'
import { sparkplugFilters } from './sparkplug/topic.js'
import { covers, topicPattern } from './topic-pattern.js'

/** levels up to which a subscription given up is looked for: two filters for each, doubled with every level */
const mostLevels = 6

/** What is asked of the broker. */
interface Subscriptions {
  filters: readonly string[]
  wants(topic: string): boolean
}

/**
 * @returns the topics of the sensors, the filters of the patterns and of Sparkplug nodes; none that another one brings
 * already, because a broker may send a message once for every subscription
 */
export const subscriptionsFor = (sensors: readonly Sensor[], mappings: readonly TopicMapping[] = []): Subscriptions => {
  const all = new Set([
    ...sensors.flatMap(({ topic }) => (topic === undefined ? [] : [topic])),
    ...mappings.map(({ pattern }) => topicPattern(pattern).filter),
    ...sparkplugFilters(sensors),
  ])
  const wild = [...all].filter(filter => filter.split('/').includes('+'))
  const filters = [...all].filter(filter => !wild.some(other => other !== filter && covers(other, filter)))
  return { filters, wants: topic => all.has(topic) || wild.some(filter => covers(filter, topic)) }
}

/** @returns the subscriptions that may have brought a topic nobody wants any more: itself, and with + at any level */
export const subscriptionsBehind = (topic: string): string[] => {
  const [first = '', ...more] = topic.split('/')
  if (more.length >= mostLevels) return [topic]
  return more.reduce(
    (behind, level) => behind.flatMap(filter => [`${filter}/${level}`, `${filter}/+`]),
    first.startsWith('$') ? [first] : [first, '+'],
  )
}
