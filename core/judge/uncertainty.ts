import type { LoopAxis, LoopElement } from '../growth/index.js'
import type { WorkClass } from '../shop.js'
import type { AxisJob } from '../state.js'
import { expansionUncertainty } from './expansion-uncertainty.js'
import { derivativeStep } from './growth-uncertainty.js'
import { type NominalError, stateAtDrift, timesCounted } from './job.js'
import { type Outlook, present } from './outlook.js'

/** One named contribution to the standard uncertainty of a job's error, m. */
type Contribution = AxisJob['budget'][number]

/** How the size of a feature changes with each node, m/K, in the order of the nodes. */
export interface Sensitivities {
  /** by the growth of what measures it, over its length */
  size: Float64Array
  /** by the axis' position at the work, as often as it counts in the size */
  position: Float64Array
  /** the position by a change that has just begun, of which the bearing may hold nothing back yet: the larger of the two */
  begun: Float64Array
}

/**
 * How a job's error on an axis changes with each node it depends on, at the nodes' present temperatures; found by moving
 * one node after the other by a hundredth of a kelvin.
 *
 * @returns m/K, in the order of the nodes; 0 for those the axis does not depend on
 * @see JCGM 100:2008 (GUM), 5.1.3
 */
export const sensitivities = (outlook: Outlook, axis: LoopAxis, workClass: WorkClass): Sensitivities => {
  const t = present(outlook)
  const times = timesCounted(axis.axis, workClass)
  const positionNow = () => times * axis.growthAt(axis.axis.workAt, t)
  const sizeNow = () => workClass.featureLength * axis.growthPerMetre(t)
  const heldBackNow = () => times * (axis.bearing?.heldBack(t) ?? 0)
  const [position, size, heldBack] = [positionNow(), sizeNow(), heldBackNow()]
  const found: Sensitivities = {
    size: new Float64Array(t.length),
    position: new Float64Array(t.length),
    begun: new Float64Array(t.length),
  }
  for (const index of axis.nodes) {
    const before = t[index]!
    t[index] = before + derivativeStep
    found.size[index] = (sizeNow() - size) / derivativeStep
    const held = (positionNow() - position) / derivativeStep
    const free = held + (heldBackNow() - heldBack) / derivativeStep
    found.position[index] = held
    found.begun[index] = Math.abs(free) > Math.abs(held) ? free : held
    t[index] = before
  }
  return found
}

/** What a job's thermal error is uncertain by, in the order in which `standardUncertainties` gives it. */
const names = [
  'temperature of the part',
  'sensor placement',
  'sensor calibration',
  'offset shared by a batch of sensors',
  'expansion coefficient of the machine',
  'expansion coefficient of the part',
  'where the nodes are heading',
  'time constants',
  'ordinary changes of the air',
  'own heat of the job',
  'how far the bearing holds the screw',
  'growth of the spindle',
] as const
/** Name of a contribution, as budgets show it. */
export type ContributionName = (typeof names)[number]

/** The standard uncertainty that each of `names` gives, m. */
const standardUncertainties = (
  outlook: Outlook,
  axis: LoopAxis,
  workClass: WorkClass,
  nominal: NominalError,
  { size: sizes, position: weights, begun }: Sensitivities,
): number[] => {
  const { loop, nodes, part, datum } = outlook
  const length = workClass.featureLength

  let placement = 0
  let calibration = 0
  let steady = 0
  let timeConstant = 0
  // a job that works harder heats all bodies more: what it adds to them is alike, or not
  const heat = { alike: 0, squares: 0 }
  // m, by what changes: nothing that is followed (a coolant's level) comes first, then the nodes
  const changes = new Float64Array(nodes.length + 1)
  for (const index of axis.nodes) {
    const node = nodes[index]!
    const size = sizes[index]!
    const weight = weights[index]!
    // how a sensor stands for its node may have changed since the datum
    placement += ((datum ? size + weight : size) * node.placement) ** 2
    // a sensor that is read twice, at the zero and now, has the same error both times
    if (!datum?.firstPart) calibration += (size * node.calibration) ** 2
    if (!Number.isFinite(node.timeConstant)) {
      changes[index + 1]! += weight * node.ordinaryChange
      continue
    }
    const passed = workClass.duration / node.timeConstant
    const left = Math.exp(-passed)
    // where a node is heading is uncertain because something has just begun
    steady += (begun[index]! * (1 - left) * node.steadyUncertainty) ** 2
    timeConstant +=
      (weight * (node.steadyTemperature - node.temperature) * passed * left * node.timeConstantUncertainty) ** 2
    changes[node.follows + 1]! += weight * (1 - left) * node.ordinaryChange
    const byHeat = begun[index]! * (1 - left) * (node.jobHeat?.uncertainty ?? 0)
    heat.alike += byHeat
    heat.squares += byHeat ** 2
  }
  let air = 0
  for (const change of changes) air += change ** 2

  const first = datum?.firstPart ? datum : null
  const partGrowth = length * workClass.material.alpha * (part.temperature - (first?.part ?? loop.reference))
  return [
    length * workClass.material.alpha * part.uncertainty,
    Math.sqrt(placement),
    Math.sqrt(calibration),
    first ? 0 : sharedOffsets(outlook, axis, workClass, sizes),
    expansionUncertainty(axis.elements, expansionOf(outlook, axis, workClass, nominal)),
    Math.abs(partGrowth) * workClass.material.alphaUncertainty,
    Math.sqrt(steady),
    Math.sqrt(timeConstant),
    Math.sqrt(air),
    Math.max(Math.abs(heat.alike), Math.sqrt(heat.squares)),
    uncertaintyOfBearing(outlook, axis, workClass, nominal),
    uncertaintyOfSpindle(outlook, axis, workClass, nominal),
  ]
}

/**
 * What an element's expansion has in a job's error, |size error| + |drift|, m, sign included: it grows both under the
 * feature and at the work, and where it moves them to different sides of zero, its share in one takes from that in the
 * other.
 */
export const expansionOf = (
  outlook: Outlook,
  { axis }: LoopAxis,
  workClass: WorkClass,
  nominal: NominalError,
): ((element: LoopElement) => number) => {
  const { sizeError, drift } = nominal
  const { datum, loop } = outlook
  const now = present(outlook)
  const end = stateAtDrift(outlook, nominal).nodes
  const zero = datum?.nodes ?? now
  const base = datum?.firstPart ? datum.nodes : new Float64Array(now.length).fill(loop.reference)
  const ofSize = sizeError < 0 ? -workClass.featureLength : workClass.featureLength
  const ofDrift = drift < 0 ? -timesCounted(axis, workClass) : timesCounted(axis, workClass)
  return ({ growthAt, growthPerMetre }) =>
    ofSize * (growthPerMetre(axis.workAt, now) - growthPerMetre(axis.workAt, base)) +
    ofDrift * (growthAt(axis.workAt, end) - growthAt(axis.workAt, zero))
}

/**
 * The model takes one end of what may be, twice: the nut's temperature for that of the work's place (it may be that of
 * one further from the bearing), and the steady profile for what the bearing holds back of a drift (of a change that has
 * just begun it holds back nothing). Rectangular distributions from there to the other end; about the end taken, their
 * root mean square is the width / √3 (GUM 4.3.7). m
 */
const uncertaintyOfBearing = (
  outlook: Outlook,
  { axis, bearing }: LoopAxis,
  workClass: WorkClass,
  nominal: NominalError,
): number => {
  if (!bearing) return 0
  const { datum } = outlook
  const now = present(outlook)
  const end = stateAtDrift(outlook, nominal).nodes
  const held = timesCounted(axis, workClass) * (bearing.heldBack(end) - bearing.heldBack(datum?.nodes ?? now))
  const uneven = bearing.unevenness(now) - (datum?.firstPart ? bearing.unevenness(datum.nodes) : 0)
  return Math.hypot(held, workClass.featureLength * uneven) / Math.sqrt(3)
}

/** m; of the spindle's growth within the job or since the datum, on the axis that it moves */
const uncertaintyOfSpindle = (
  { spindle }: Outlook,
  { axis }: LoopAxis,
  workClass: WorkClass,
  nominal: NominalError,
): number => {
  if (spindle?.axis !== axis.id) return 0
  const times = timesCounted(axis, workClass)
  return times * spindle.uncertainty(nominal.spindle / times)
}

/** An offset that a batch of sensors shares moves screw and part together: sensitivities are added before squaring. m */
const sharedOffsets = ({ loop, nodes }: Outlook, axis: LoopAxis, workClass: WorkClass, sizes: Float64Array): number => {
  if (nodes.every(node => !node.batch)) return 0
  const shared = new Map<string, number>()
  const share = (index: number, sensitivity: number) => {
    const batch = nodes[index]?.batch
    if (batch) shared.set(batch.name, (shared.get(batch.name) ?? 0) + sensitivity * batch.uncertainty)
  }
  for (const index of axis.nodes) share(index, sizes[index]!)
  const partNode = loop.machine.nodes.findIndex(node => node.id === loop.machine.workpiece.node)
  share(partNode, -workClass.featureLength * workClass.material.alpha)
  let sum = 0
  for (const offset of shared.values()) sum += offset ** 2
  return Math.sqrt(sum)
}

/**
 * Contributions to the uncertainty of a job's thermal error on one axis, largest first.
 *
 * Sensors' calibration and placement act on the size error. On the drift within a job they do not, since the same sensor
 * is read twice; for the same reason calibration falls out of a size that was corrected by a first part. Placement acts
 * on the position, too, where the zero was taken at a datum, since how a sensor stands for its node may have changed
 * since. The drift is uncertain by where each node is heading, by its time constant, by the ordinary changes of the air,
 * by the job's own heat and by how far a fixed bearing holds its screw.
 *
 * Inputs are independent (GUM 5.1) except sensors of one batch, whose common offset is fully correlated (GUM 5.2), and the
 * coefficients of one material (`expansionUncertainty`).
 *
 * @see JCGM 100:2008 (GUM), 5.1 and 5.2
 */
export const contributions = (
  outlook: Outlook,
  axis: LoopAxis,
  workClass: WorkClass,
  nominal: NominalError,
  slopes: Sensitivities = sensitivities(outlook, axis, workClass),
): Contribution[] => {
  const found = standardUncertainties(outlook, axis, workClass, nominal, slopes)
  return names
    .map((name, i) => ({ name, standardUncertainty: found[i]! }))
    .filter(c => c.standardUncertainty > 0)
    .sort((a, b) => b.standardUncertainty - a.standardUncertainty)
}

/**
 * Expanded uncertainty, k = 2: root of the sum of squares of independent contributions, times two.
 *
 * @returns unit of the contributions
 * @see JCGM 100:2008 (GUM), 6.2
 */
export const expandedUncertainty = (of: readonly Contribution[]): number =>
  2 * Math.sqrt(of.reduce((sum, c) => sum + c.standardUncertainty ** 2, 0))

/**
 * `expandedUncertainty` (k = 2) of a job's `contributions`, m, without naming and sorting them: it is asked very often.
 */
export const jobUncertainty = (
  outlook: Outlook,
  axis: LoopAxis,
  workClass: WorkClass,
  nominal: NominalError,
  slopes: Sensitivities,
): number => {
  let sum = 0
  for (const each of standardUncertainties(outlook, axis, workClass, nominal, slopes)) sum += each ** 2
  return 2 * Math.sqrt(sum)
}
