import { nearestNames } from '../../core/nearest.js'
import { claimedTwice } from './formerly.js'
import type { MachineOutline, Outline } from './outline.js'
import { type Blame, isMap } from './section.js'
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

const equalTopics = (outline: Outline): Finding[] => {
  const first = new Map<string, string>()
  const findings: Finding[] = []
  for (const [id, sensor] of outline.sensors) {
    if (typeof sensor.topic !== 'string') continue
    const payload = sensor.payload ?? outline.sensorDefaults.payload
    const { value = '', readings, name } = isMap(payload) ? payload : {}
    const mapping = JSON.stringify([sensor.topic, String(value), readings, name && nameOnBroker(id, sensor)])
    const other = first.get(mapping)
    if (other === undefined) first.set(mapping, id)
    else
      findings.push({
        path: ['sensors', id, 'topic'],
        what: `"${sensor.topic}" is read by the sensor "${other}" already, from the same part of the message`,
        blame: { remedy: 'correct the topic, or say by payload: { value: … } which part of a JSON message is meant' },
      })
  }
  return findings
}

const nameOnBroker = (id: string, sensor: Record<string, unknown>): string => String(sensor['name on broker'] ?? id)

/** Names by which the shop's `topics` find sensors. */
const equalNames = ({ sensors, hasTopics }: Outline): Finding[] => {
  const first = new Map<string, string>()
  const findings: Finding[] = []
  for (const [id, sensor] of hasTopics ? sensors : []) {
    if (sensor.topic !== undefined || sensor.sparkplug !== undefined) continue
    const name = nameOnBroker(id, sensor)
    const other = first.get(name)
    if (other === undefined) first.set(name, id)
    else
      findings.push({
        path: ['sensors', id, ...(sensor['name on broker'] === undefined ? [] : ['name on broker'])],
        what: `the messages that call their sensor "${name}" are those of the sensor "${other}" already`,
        blame: {
          key: sensor['name on broker'] === undefined,
          remedy: 'give each sensor the name on broker that topics makes for it; one name is one sensor',
        },
      })
  }
  return findings
}

const equalMetrics = ({ sensors }: Outline): Finding[] => {
  const first = new Map<string, string>()
  const findings: Finding[] = []
  for (const [id, { sparkplug }] of sensors) {
    if (!isMap(sparkplug)) continue
    const { group, node, device, metric } = sparkplug
    const mapping = JSON.stringify([group, node, device, metric])
    const other = first.get(mapping)
    if (other === undefined) first.set(mapping, id)
    else
      findings.push({
        path: ['sensors', id, 'sparkplug'],
        what: `this metric is read by the sensor "${other}" already`,
        blame: { remedy: 'correct group, node, device or metric' },
      })
  }
  return findings
}

const equalElements = (machine: MachineOutline): Finding[] => {
  const seen = new Set<string>()
  const findings: Finding[] = []
  machine.structure.forEach((element, index) => {
    const kind = typeof element.bar === 'string' ? 'bar' : 'bending column'
    const name = element[kind]
    if (typeof name !== 'string' || typeof element.axis !== 'string') return
    const id = elementId(element.axis, name)
    if (seen.has(id))
      findings.push({
        path: ['machines', machine.id, 'structure', String(index), kind],
        what: `"${name}" is the name of another element on the axis ${element.axis} already`,
        blame: { remedy: 'give each element of an axis a name of its own; reasons on the wall use it' },
      })
    seen.add(id)
  })
  return findings
}
