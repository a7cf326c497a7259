import type { LoopAxis } from '../growth/index.js'
import type { WorkClass } from '../shop.js'
import type { NominalError, Outlook } from './job.js'

/** Name of the contribution of the workpiece's temperature. */
export const ofThePart = 'temperature of the part'

/** One named contribution to the standard uncertainty of a job's error, m. */
export interface Contribution {
  name: string
  standardUncertainty: number
}

/** K; step of the numerical derivative. The model is piecewise linear, so its size hardly matters. */
const step = 0.01

/** How an axis' measured size and its position at the work change with each node, m/K, in the order of the nodes. */
export interface Sensitivities {
  size: Float64Array
  position: Float64Array
}

/** Sensitivities at the nodes' present temperatures. */
export const sensitivities = (outlook: Outlook, axis: LoopAxis, workClass: WorkClass): Sensitivities => {
  const temperatures = Float64Array.from(outlook.nodes, node => node.temperature)
  const fromDatum = outlook.datum !== null && workClass.zeroedAt === 'datum'
  const position = (t: Float64Array) => axis.growthAt(axis.axis.workAt, t)
  const size = (t: Float64Array) => workClass.featureLength * axis.growthPerMetre(t) + (fromDatum ? position(t) : 0)
  const found: Sensitivities = {
    size: new Float64Array(temperatures.length),
    position: new Float64Array(temperatures.length),
  }
  for (const index of axis.nodes) {
    found.size[index] = derivative(size, temperatures, index)
    found.position[index] = derivative(position, temperatures, index)
  }
  return found
}

const derivative = (f: (t: Float64Array) => number, at: Float64Array, index: number): number => {
  const moved = Float64Array.from(at)
  moved[index] = at[index]! + step
  return (f(moved) - f(at)) / step
}

/**
 * Contributions to the uncertainty of a job's thermal error on one axis, largest first.
 *
 * Sensors' calibration and placement act on the size error (and, with a zero taken at the datum, on the position); within
 * a job they cancel, since the same sensor is read twice. The drift is uncertain by where each node is heading, by its
 * time constant and by the ordinary changes of the air.
 *
 * Inputs are independent (GUM 5.1) except sensors of one batch, whose common offset is fully correlated (GUM 5.2).
 *
 * @see JCGM 100:2008 (GUM), 5.1 and 5.2
 */
export const contributions = (
  outlook: Outlook,
  axis: LoopAxis,
  workClass: WorkClass,
  nominal: NominalError,
  { size: sizes, position: weights }: Sensitivities = sensitivities(outlook, axis, workClass),
): Contribution[] => {
  const { loop, nodes, part, datum } = outlook
  const temperatures = Float64Array.from(nodes, node => node.temperature)
  const length = workClass.featureLength

  let placement = 0
  let calibration = 0
  let heading = 0
  let timeConstant = 0
  const airChange = new Map<number, number>()
  for (const index of axis.nodes) {
    const node = nodes[index]!
    const size = sizes[index]!
    placement += (size * node.placement) ** 2
    // since a datum the same sensor is read twice: its calibration cancels
    if (!datum) calibration += (size * node.calibration) ** 2
    const weight = weights[index]!
    if (!Number.isFinite(node.timeConstant)) {
      airChange.set(index, (airChange.get(index) ?? 0) + weight * node.ordinaryChange)
      continue
    }
    const passed = workClass.duration / node.timeConstant
    const covered = 1 - Math.exp(-passed)
    heading += (weight * covered * node.headingUncertainty) ** 2
    timeConstant +=
      (weight * (node.heading - node.temperature) * passed * Math.exp(-passed) * node.timeConstantUncertainty) ** 2
    const air = airChange.get(node.follows) ?? 0
    airChange.set(node.follows, air + weight * covered * node.ordinaryChange)
  }
  let air = 0
  for (const change of airChange.values()) air += change ** 2

  // an offset that a batch of sensors shares moves screw and part together: their sensitivities are added before squaring
  const shared = new Map<string, number>()
  const partNode = loop.machine.nodes.findIndex(node => node.id === loop.machine.workpiece.node)
  const share = (index: number, sensitivity: number) => {
    const batch = nodes[index]?.batch
    if (batch && !datum) shared.set(batch.name, (shared.get(batch.name) ?? 0) + sensitivity * batch.uncertainty)
  }
  for (const index of axis.nodes) share(index, sizes[index]!)
  share(partNode, -length * workClass.material.alpha)
  let common = 0
  for (const change of shared.values()) common += change ** 2

  const base = datum ? datum.nodes : new Float64Array(nodes.length).fill(loop.reference)
  const machineGrowth = length * (axis.growthPerMetre(temperatures) - axis.growthPerMetre(base))
  const partGrowth = length * workClass.material.alpha * (part.temperature - (datum?.part ?? loop.reference))
  const all: Contribution[] = [
    { name: ofThePart, standardUncertainty: length * workClass.material.alpha * part.uncertainty },
    { name: 'sensor placement', standardUncertainty: Math.sqrt(placement) },
    { name: 'sensor calibration', standardUncertainty: Math.sqrt(calibration) },
    { name: 'offset shared by a batch of sensors', standardUncertainty: Math.sqrt(common) },
    {
      name: 'expansion coefficient of the machine',
      standardUncertainty: Math.abs(machineGrowth) * axis.alphaUncertainty,
    },
    {
      name: 'expansion coefficient of the part',
      standardUncertainty: Math.abs(partGrowth) * workClass.material.alphaUncertainty,
    },
    { name: 'expansion in the drift', standardUncertainty: Math.abs(nominal.drift) * axis.alphaUncertainty },
    { name: 'where the nodes are heading', standardUncertainty: Math.sqrt(heading) },
    { name: 'time constants', standardUncertainty: Math.sqrt(timeConstant) },
    { name: 'ordinary changes of the air', standardUncertainty: Math.sqrt(air) },
  ]
  return all.filter(c => c.standardUncertainty > 0).sort((a, b) => b.standardUncertainty - a.standardUncertainty)
}

/**
 * Expanded uncertainty, k = 2: root of the sum of squares of independent contributions, times two.
 *
 * @returns unit of the contributions
 * @see JCGM 100:2008 (GUM), 6.2
 */
export const expandedUncertainty = (of: readonly Contribution[]): number =>
  2 * Math.sqrt(of.reduce((sum, c) => sum + c.standardUncertainty ** 2, 0))
