import { findMaterial } from '../../core/materials.js'
import type { Material } from '../../core/shop.js'
import { percent, temperature, uncertainExpansion } from './readers.js'
import { isMap, keysIn, type Reader } from './section.js'

/**
 * The names a shop file defines, read before anything is checked, so that a reference can be judged where it stands
 * even when other parts of the file are wrong. A section that cannot be read gives null: nothing is said about
 * references into it.
 */
export interface Outline {
  machines: Map<string, MachineOutline> | null
  sources: string[] | null
  /** the shop's own */
  materials: Material[]
  sensors: Map<string, Record<string, unknown>>
  /** as they are written */
  all: Record<'machines' | 'workClasses', Map<string, Record<string, unknown>>>
  sensorDefaults: Record<string, unknown>
  /** °C; 20 where it cannot be read */
  referenceTemperature: number
  /** topics that carry many sensors are mapped, or meant to be */
  hasTopics: boolean
}
export interface MachineOutline {
  id: string
  nodes: Map<string, Record<string, unknown>> | null
  axes: string[] | null
  structure: Record<string, unknown>[]
}

const maps = (raw: unknown): Map<string, Record<string, unknown>> | null =>
  isMap(raw) ? new Map(Object.entries(raw).map(([id, each]) => [id, keysIn(each)])) : null

/** @param file the whole file as plain values, unchecked */
export const outlineOf = (file: unknown): Outline => {
  const top = keysIn(file)
  const machines = maps(top.machines)
  const reference = temperature(keysIn(top.shop)['reference temperature'])
  return {
    machines: machines && new Map([...machines].map(([id, machine]) => [id, machineOutline(id, machine)])),
    // no section at all is no sources; a broken one is unknown
    sources: top.sources === undefined ? [] : isMap(top.sources) ? Object.keys(top.sources) : null,
    materials: [...(maps(top.materials) ?? [])].map(([name, written]) => ownMaterial(name, written)),
    sensors: maps(top.sensors) ?? new Map(),
    all: { machines: machines ?? new Map(), workClasses: maps(top['work classes']) ?? new Map() },
    sensorDefaults: keysIn(top['sensor defaults']),
    referenceTemperature: 'value' in reference ? reference.value : 20,
    hasTopics: top.topics !== undefined,
  }
}

const machineOutline = (id: string, machine: Record<string, unknown>): MachineOutline => ({
  id,
  nodes: maps(machine.nodes),
  axes: isMap(machine.axes) ? Object.keys(machine.axes) : null,
  structure: Array.isArray(machine.structure) ? machine.structure.map(keysIn) : [],
})

/** NaN where a value cannot be read: the schema says so, and the shop is not accepted. */
const ownMaterial = (name: string, written: Record<string, unknown>): Material => {
  const alpha = uncertainExpansion(written.expansion)
  const own = 'value' in alpha ? alpha.value : { value: Number.NaN }
  const apart = percent(written.uncertainty)
  return {
    name,
    alpha: own.value,
    alphaUncertainty: own.relativeUncertainty ?? ('value' in apart ? apart.value : Number.NaN),
  }
}

/** names of a machine's nodes; null when they cannot be read */
export const nodeNames = (machine: MachineOutline | undefined): string[] | null =>
  machine?.nodes ? [...machine.nodes.keys()] : null

/** names of the nodes that a body can follow: air and coolant, and those whose kind is misspelt */
export const followedNames = (machine: MachineOutline): string[] | null =>
  machine.nodes && [...machine.nodes].filter(([, node]) => (node.kind ?? 'body') !== 'body').map(([id]) => id)

/** understands the name of a material, the shop's own ones too */
export const materialIn =
  (outline: Outline): Reader<Material> =>
  raw =>
    typeof raw === 'string'
      ? findMaterial(raw, outline.materials)
      : { problem: 'no material is named', remedy: 'write the name of a material, for example steel or grey iron' }
