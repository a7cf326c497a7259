import { nearestNames } from '../../core/nearest.js'
import { claimedTwice } from './formerly.js'
import type { MachineOutline, Outline } from './outline.js'
import { type Blame, isMap, keysIn } from './section.js'
import { nodePlace } from './sensor.js'
import { elementId } from './thermal-loop.js'

interface Finding {
  path: string[]
  what: string
  blame: Blame
}

/** What only shows when the whole file is seen at once. Looks at the file as written, so it works beside other mistakes. */
export const across = (outline: Outline): Finding[] => [
  ...unmeasuredNodes(outline),
  ...equalTopics(outline),
  ...claimedTwice(outline),
  ...equalNames(outline),
  ...equalMetrics(outline),
  ...[...(outline.machines?.values() ?? [])].flatMap(equalElements),
]

/** "machine/node" of every sensor of temperature, a misspelt one counted where it was probably meant. */
const measuredPlaces = (outline: Outline): Set<string> => {
  const all = [...(outline.machines?.values() ?? [])].flatMap(machine =>
    [...(machine.nodes?.keys() ?? [])].map(node => `${machine.id}/${node}`),
  )
  const measured = new Set<string>()
  for (const sensor of outline.sensors.values()) {
    const at = nodePlace(sensor.at)
    // a sensor of a state, or at a spindle, is at no node
    if (!at || (sensor.unit ?? outline.sensorDefaults.unit) === 'state') continue
    const written = `${at.machine}/${at.node}`
    for (const place of all.includes(written) ? [written] : nearestNames(written, all)) measured.add(place)
  }
  return measured
}

const unmeasuredNodes = (outline: Outline): Finding[] => {
  const measured = measuredPlaces(outline)
  const findings: Finding[] = []
  for (const machine of outline.machines?.values() ?? [])
    for (const [id, node] of machine.nodes ?? []) {
      const path = ['machines', machine.id, 'nodes', id]
      const standIn = node['stand-in'] as { node?: unknown } | undefined | null
      const instead = typeof standIn?.node === 'string' ? standIn.node : null
      if (instead !== null && machine.nodes?.has(instead) && !measured.has(`${machine.id}/${instead}`))
        findings.push({
          path: [...path, 'stand-in', 'node'],
          what: `"${instead}" has no sensor of its own, so it cannot stand in for another node`,
          blame: { remedy: `name a node of ${machine.id} that has a sensor` },
        })
      if (node.required === false || node['stand-in'] !== undefined || measured.has(`${machine.id}/${id}`)) continue
      findings.push({
        path,
        what: `verdicts on ${machine.id} need the temperature of "${id}", but no sensor is there`,
        blame: {
          key: true,
          remedy: `add a sensor with at: ${machine.id}/${id}, or give the node a stand-in: { node: …, uncertainty: 0.8 K }, or write required: false`,
        },
      })
    }
  return findings
}

/** Entries that have the key of one before them, each with that one; an entry without a key is like none. */
const alike = <T>(all: Iterable<T>, keyOf: (entry: T) => string | undefined): { entry: T; first: T }[] => {
  const firsts = new Map<string, T>()
  return [...all].flatMap(entry => {
    const key = keyOf(entry)
    const first = key === undefined ? undefined : firsts.get(key)
    if (key !== undefined && first === undefined) firsts.set(key, entry)
    return first === undefined ? [] : [{ entry, first }]
  })
}

const equalTopics = ({ sensors, sensorDefaults }: Outline): Finding[] =>
  alike(sensors, ([id, sensor]) => {
    if (typeof sensor.topic !== 'string') return undefined
    const { value = '', readings, name } = keysIn(sensor.payload ?? sensorDefaults.payload)
    return JSON.stringify([sensor.topic, String(value), readings, name && nameOnBroker(id, sensor)])
  }).map(({ entry: [id, { topic }], first: [other] }) => ({
    path: ['sensors', id, 'topic'],
    what: `"${topic}" is read by the sensor "${other}" already, from the same part of the message`,
    blame: { remedy: 'correct the topic, or say by payload: { value: … } which part of a JSON message is meant' },
  }))

const nameOnBroker = (id: string, sensor: Record<string, unknown>): string => String(sensor['name on broker'] ?? id)

/** Names by which the shop's `topics` find sensors. */
const equalNames = ({ sensors, hasTopics }: Outline): Finding[] =>
  alike(hasTopics ? sensors : [], ([id, sensor]) =>
    sensor.topic !== undefined || sensor.sparkplug !== undefined ? undefined : nameOnBroker(id, sensor),
  ).map(({ entry: [id, sensor], first: [other] }) => {
    const isNamed = sensor['name on broker'] !== undefined
    return {
      path: ['sensors', id, ...(isNamed ? ['name on broker'] : [])],
      what: `the messages that call their sensor "${nameOnBroker(id, sensor)}" are those of the sensor "${other}" already`,
      blame: {
        key: !isNamed,
        remedy: 'give each sensor the name on broker that topics makes for it; one name is one sensor',
      },
    }
  })

const equalMetrics = ({ sensors }: Outline): Finding[] =>
  alike(sensors, ([, { sparkplug }]) => {
    if (!isMap(sparkplug)) return undefined
    const { group, node, device, metric } = sparkplug
    return JSON.stringify([group, node, device, metric])
  }).map(({ entry: [id], first: [other] }) => ({
    path: ['sensors', id, 'sparkplug'],
    what: `this metric is read by the sensor "${other}" already`,
    blame: { remedy: 'correct group, node, device or metric' },
  }))

const equalElements = ({ id, structure }: MachineOutline): Finding[] => {
  const kindOf = (element: Record<string, unknown>) => (typeof element.bar === 'string' ? 'bar' : 'bending column')
  return alike(structure.entries(), ([, element]) => {
    const name = element[kindOf(element)]
    return typeof name === 'string' && typeof element.axis === 'string' ? elementId(element.axis, name) : undefined
  }).map(({ entry: [index, element] }) => ({
    path: ['machines', id, 'structure', String(index), kindOf(element)],
    what: `"${element[kindOf(element)]}" is the name of another element on the axis ${element.axis} already`,
    blame: { remedy: 'give each element of an axis a name of its own; reasons on the wall use it' },
  }))
}
