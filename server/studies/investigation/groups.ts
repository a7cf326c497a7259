import { type Deviation, deviationAt, type Inspection } from '../../../core/inspection/index.js'
import { findMaterial } from '../../../core/materials.js'
import type { Material, Shop } from '../../../core/shop.js'
import { grouped } from '../../grouped.js'
import { rejectOf } from '../../inspections/standing.js'
import { ownMaterials } from '../morning/own-materials.js'

/** A measured part with its deviation at the reference temperature. */
export interface Measured {
  inspection: Inspection
  /** ms; middle of the cut, as it is taken */
  at: number
  from: number
  to: number
  deviation: Deviation
  reject: 'too small' | 'too large' | null
}

/** Parts of one feature, made alike on one machine. */
export interface FeatureGroup {
  key: string
  /** as most are, and the first one is where that does not matter */
  first: Inspection
  material: Material
  /** nobody says what they are made of */
  materialUnsaid: boolean
  /** in order of their cut */
  parts: Measured[]
}

/**
 * Where it is not said what a part is made of, it expands like anything from steel to aluminium: the middle, with the half
 * width ÷ √3 (GUM 4.3.7).
 */
const someMetal: Material = { name: '', alpha: 17.4e-6, alphaUncertainty: 6.1e-6 / Math.sqrt(3) / 17.4e-6 }

/** what is made alike: the rest may differ from part to part */
const keyOf = ({ machine, part, feature, axis, longer, cut, zeroed, nominal, material }: Inspection): string =>
  `${machine}\n${part}\n${feature}\n${axis}\n${longer}\n${cut}\n${zeroed}\n${nominal}\n${material}`

/**
 * Measured parts by feature and machine, and by how the axis makes it.
 *
 * @param inspections in order of their cut
 * @param moved ms; by which the times of the cuts are moved
 */
export const groupsOf = (inspections: readonly Inspection[], shop: Shop, moved = 0): FeatureGroup[] => {
  const own = ownMaterials(shop)
  const known = new Map<string, Material>()
  for (const name of new Set(inspections.flatMap(({ material, gauge }) => [material, gauge]))) {
    const read = findMaterial(name, own)
    if (name !== '' && 'value' in read) known.set(name, read.value)
  }
  const groups = new Map<string, FeatureGroup>()
  for (const inspection of inspections) {
    const key = keyOf(inspection)
    let group = groups.get(key)
    const material = known.get(inspection.material) ?? null
    if (!group) {
      group = { key, first: inspection, material: material ?? someMetal, materialUnsaid: material === null, parts: [] }
      groups.set(key, group)
    }
    const gauge = inspection.gauge === 'at 20 °C' ? 'held' : (known.get(inspection.gauge) ?? null)
    const [from, to] = [inspection.from + moved, inspection.to + moved]
    group.parts.push({
      inspection,
      from,
      to,
      at: (from + to) / 2,
      deviation: deviationAt(inspection, material ?? group.material, gauge, shop.referenceTemperature),
      reject: rejectOf(inspection),
    })
  }
  return [...groups.values()].sort(
    (a, b) => rejectsIn(b) - rejectsIn(a) || b.parts.length - a.parts.length || (a.key < b.key ? -1 : 1),
  )
}

/** m from the nominal size; null where nothing is said */
export const limitsOf = ({ lower, upper, nominal }: Inspection) => ({
  lower: lower === null ? null : lower - nominal,
  upper: upper === null ? null : upper - nominal,
})

export const rejectsIn = ({ parts }: FeatureGroup): number => parts.filter(({ reject }) => reject).length

/**
 * m; standard deviation of one measurement, by parts with a number that were measured several times: what was cut at one
 * moment differs by that alone. null: none was.
 */
export const repeatability = ({ parts }: FeatureGroup): number | null => {
  const numbered = parts.filter(({ inspection }) => inspection.serial !== '')
  const alike = grouped(numbered, ({ inspection: { serial, from } }) => `${serial}\n${from}`)
  let [squares, degrees] = [0, 0]
  for (const together of alike.values()) {
    if (together.length < 2) continue
    const values = together.map(({ deviation }) => deviation.value)
    const mean = values.reduce((sum, value) => sum + value, 0) / values.length
    squares += values.reduce((sum, value) => sum + (value - mean) ** 2, 0)
    degrees += values.length - 1
  }
  return degrees === 0 ? null : Math.sqrt(squares / degrees)
}
