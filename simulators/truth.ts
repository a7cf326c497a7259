import { type assemble, type BodyPlace, meanOver, type Strip, stretchOver } from './assembly.js'
import type { MachinePlant, StructurePlant } from './plant.js'

/** °C; lengths are what they are called at this temperature (ISO 1) */
const REFERENCE = 20

/** The true growth of one axis, m against 20 °C; positive reads longer. */
export interface AxisTruth {
  /** whole growth (measuring part and structure) at axis position 0, at the work and at full travel */
  atZero: number
  atWork: number
  atTravel: number
  /** growth of the screw or scale alone, by position, m */
  displacement: { position: number[]; value: number[] }
  /** growth of the rest of the thermal loop, m */
  structure: number
}

/** Mean temperature of a body, °C. */
export const bodyMean = (body: BodyPlace, temperature: Float64Array): number =>
  body.coreShare * temperature[body.core]! + (1 - body.coreShare) * temperature[body.skin]!

/**
 * How far the screw or scale has carried the place `s` away from its fixed point.
 *
 * One end fixed, or a scale: the sum of the expansion of every piece between the fixed point and `s`; negative when `s`
 * lies before the fixed point and the part is warm.
 * Both ends fixed: as long as the screw's mean stays less than its stretch above the bed, its ends go where the bed goes
 * and its warmer pieces push its colder ones aside in between; what it is warmer than that grows freely from the fixed
 * end.
 */
const displacementOf = (
  axis: MachinePlant['axes'][number],
  strip: Strip,
  bodyOf: ReturnType<typeof assemble>['bodyOf'],
  s: number,
): ((temperature: Float64Array) => number) => {
  const part = axis.measuring
  const weights = stretchOver(strip, part.fixedAt, s)
  const reach = weights.reduce((a, b) => a + b, 0)
  const riseOver = (temperature: Float64Array, above: number): number => {
    let sum = 0
    for (let k = 0; k < strip.cells; k++) sum += weights[k]! * temperature[strip.first + k]!
    return sum - above * reach
  }
  if (part.kind === 'scale' || part.mounting.kind === 'one end fixed')
    return temperature => part.alpha * riseOver(temperature, REFERENCE)

  const { stretch, bedAlpha } = part.mounting
  const bed = bodyOf(part.mounting.bed)
  const whole = stretchOver(strip, strip.begin, strip.begin + strip.cells * strip.width)
  return temperature => {
    const bedTemperature = bodyMean(bed, temperature)
    const mean = meanOver(strip, whole, temperature)
    const excess = Math.max(0, mean - bedTemperature - stretch)
    return bedAlpha * (bedTemperature - REFERENCE) * reach + part.alpha * (riseOver(temperature, mean) + excess * reach)
  }
}

const elementGrowth = (
  element: StructurePlant,
  bodyOf: ReturnType<typeof assemble>['bodyOf'],
): ((temperature: Float64Array) => number) => {
  if (element.kind === 'bar') {
    const parts = Object.entries(element.over).map(([id, weight]) => ({ body: bodyOf(id), weight }))
    return temperature => {
      let mean = 0
      for (const { body, weight } of parts) mean += weight * bodyMean(body, temperature)
      return element.sign * element.alpha * element.length * (mean - REFERENCE)
    }
  }
  const front = bodyOf(element.front)
  const rear = bodyOf(element.rear)
  const perKelvin = (element.sign * element.alpha * element.height ** 2) / (2 * element.depth)
  return temperature => perKelvin * (bodyMean(front, temperature) - bodyMean(rear, temperature))
}

/** Prepares the true growth of a machine's axes as functions of its network's temperatures. */
export const createTruth = (
  plant: MachinePlant,
  { strips, bodyOf }: Pick<ReturnType<typeof assemble>, 'strips' | 'bodyOf'>,
) =>
  plant.axes.map((axis, i) => {
    const at = (s: number) => displacementOf(axis, strips[i]!, bodyOf, s)
    const atWork = at(axis.workAt)
    const position = Array.from({ length: 11 }, (_, k) => (axis.travel * k) / 10)
    const along = position.map(at)
    const elements = plant.structure.filter(element => element.axis === axis.id).map(e => elementGrowth(e, bodyOf))
    const structureOf = (temperature: Float64Array): number => {
      let sum = 0
      for (const element of elements) sum += element(temperature)
      return sum
    }
    return {
      id: axis.id,
      growth: (temperature: Float64Array): AxisTruth => {
        const structure = structureOf(temperature)
        const value = along.map(displacement => displacement(temperature))
        return {
          atZero: value[0]! + structure,
          atWork: atWork(temperature) + structure,
          atTravel: value[10]! + structure,
          displacement: { position: [...position], value },
          structure,
        }
      },
    }
  })
