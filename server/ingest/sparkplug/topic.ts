import type { Sensor } from '../../../core/shop.js'

/**
 * Topics of Eclipse Sparkplug B: `spBv1.0/group/NDATA/node`, `spBv1.0/group/DDATA/node/device`.
 *
 * @see Eclipse Sparkplug Specification 3.0.0, chapter 4 (Topics)
 */
export interface SparkplugTopic {
  group: string
  node: string
  /** not given for a message of the node itself */
  device?: string
  kind: (typeof nodeKinds)[number] | (typeof deviceKinds)[number]
}

const namespace = 'spBv1.0'
const nodeKinds = ['NBIRTH', 'NDATA', 'NDEATH'] as const
const deviceKinds = ['DBIRTH', 'DDATA', 'DDEATH'] as const

/** @returns `undefined` for a topic that is none of these six */
export const sparkplugTopic = (topic: string): SparkplugTopic | undefined => {
  if (!topic.startsWith(`${namespace}/`)) return undefined
  const [, group, written, node, device, more] = topic.split('/')
  // an empty level is no name: taken as one, it would pass for the node itself
  if (!group || !node || device === '' || more !== undefined) return undefined
  const kind = (device === undefined ? nodeKinds : deviceKinds).find(each => each === written)
  return kind && { group, node, kind, ...(device !== undefined && { device }) }
}

export const nodeKey = ({ group, node }: { group: string; node: string }): string => `${group}/${node}`

/** where a command to a node is published */
export const commandTopic = ({ group, node }: { group: string; node: string }): string =>
  `${namespace}/${group}/NCMD/${node}`

/** What brings every message of the nodes that the sensors are metrics of; all devices, since they share a sequence. */
export const sparkplugFilters = (sensors: readonly Sensor[]): string[] => {
  const nodes = new Map(sensors.flatMap(({ sparkplug }) => (sparkplug ? [[nodeKey(sparkplug), sparkplug]] : [])))
  return [...nodes.values()].flatMap(({ group, node }) => [
    ...nodeKinds.map(kind => `${namespace}/${group}/${kind}/${node}`),
    ...deviceKinds.map(kind => `${namespace}/${group}/${kind}/${node}/+`),
  ])
}
