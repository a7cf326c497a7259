import {
  formatDifference,
  formatDuration,
  formatGrowth,
  formatLength,
  formatTemperature,
  type UnitSystem,
} from '../format.js'
import type { LoopAxis, LoopPart } from '../growth/index.js'
import type { WorkClass } from '../shop.js'
import type { AxisJob, Reason } from '../state.js'
import { type Moment, momentAhead, type NominalError, type Outlook, timesCounted } from './job.js'
import { ofThePart } from './uncertainty.js'

/** Says a thing in both unit systems. */
type Say = (system: UnitSystem) => string

const reason = (kind: Reason['kind'], amount: number, say: Say, where: Partial<Reason> = {}): Reason => ({
  kind,
  amount,
  text: say('metric'),
  textInch: say('inch'),
  ...where,
})

/** What the largest contribution to the uncertainty means to a machinist. */
const doubts: Readonly<Record<string, string>> = {
  'where the nodes are heading': 'something has just begun to warm or cool it',
  [ofThePart]: "the part's own temperature is not measured",
  'ordinary changes of the air': 'the air here keeps changing',
  'how far the bearing holds the screw': 'how far its bearing holds the screw is not known well',
  'time constants': 'how fast it settles is not known well',
  'sensor placement': 'its sensors cannot be everywhere',
  'sensor calibration': "its sensors' calibration",
  'offset shared by a batch of sensors': 'an offset its sensors share',
}

/** "1.9 K warmer" or "0.4 K colder" */
const compared = (difference: number, system: UnitSystem): string =>
  `${formatDifference(Math.abs(difference), system, 'plain')} ${difference < 0 ? 'colder' : 'warmer'}`

const sizeReasons = (outlook: Outlook, axis: LoopAxis, workClass: WorkClass, now: Moment): Reason[] => {
  const { datum, loop } = outlook
  const length = workClass.featureLength
  const { alpha, name } = axis.axis.measuring.material
  const part = workClass.material
  const first = datum?.firstPart ? datum : null
  const basePart = first?.part ?? loop.reference
  const baseGrowth = first ? axis.growthPerMetre(first.nodes) : 0
  const partRise = now.part - basePart
  // the rise a free screw or scale of this material would need for its present growth
  const machineRise = (axis.growthPerMetre(now.nodes) - baseGrowth) / alpha
  const apart = machineRise - partRise
  const measuring = `${axis.axis.id} ${axis.axis.measuring.kind}`
  const measuringOf = `a ${axis.axis.measuring.kind} of ${name}`
  const where = { axis: axis.axis.id }
  const over = (amount: number, system: UnitSystem) =>
    `${axis.axis.id} ${formatGrowth(amount, system)} over ${formatLength(length, system)}`
  const fromApart = length * alpha * apart
  const fromMaterial = length * (alpha - part.alpha) * partRise
  const base: Say = system => (first ? 'at the datum' : formatTemperature(loop.reference, system, 0))
  return [
    reason(
      'growth',
      fromApart,
      s =>
        first
          ? `${measuring} against the part ${compared(apart, s)} than at the datum: ${over(fromApart, s)}`
          : `${measuring} ${compared(apart, s)} than the part: ${over(fromApart, s)}`,
      where,
    ),
    reason(
      'workpiece',
      fromMaterial,
      s => `part ${compared(partRise, s)} than ${base(s)}, ${part.name} on ${measuringOf}: ${over(fromMaterial, s)}`,
      where,
    ),
  ]
}

const driftReasons = (
  outlook: Outlook,
  axis: LoopAxis,
  workClass: WorkClass,
  nominal: NominalError,
  now: Moment,
): Reason[] => {
  const { loop } = outlook
  const fromDatum = outlook.datum !== null
  const times = timesCounted(axis.axis, workClass)
  const end = momentAhead(outlook, nominal.driftAt)
  const [from, to] = fromDatum ? [outlook.datum!.nodes, end.nodes] : [now.nodes, end.nodes]
  const before = axis.parts(axis.axis.workAt, from)
  const after = axis.parts(axis.axis.workAt, to)
  const { nodes } = loop.machine
  return after.map((part: LoopPart, i) => {
    const amount = times * (part.growth - before[i]!.growth)
    const node = nodes.findIndex(({ id }) => id === part.node)
    const change = to[node]! - from[node]!
    const grows = (s: UnitSystem) =>
      `${axis.axis.id} ${formatGrowth(amount, s)}${times === 2 ? ' on the diameter' : ''}`
    const span = formatDuration(workClass.duration)
    const bends = part.kind === 'bending column'
    const name = bends ? nodes[node]!.name : part.name
    return reason(
      bends ? 'bending' : 'drift',
      amount,
      s =>
        fromDatum
          ? `${name} ${compared(change, s)} than at the datum: ${grows(s)}`
          : `${name} ${change < 0 ? 'cooling' : 'warming'} by ${formatDifference(Math.abs(change), s, 'plain')} within ${span}${bends ? ', the column bends' : ''}: ${grows(s)}`,
      { axis: axis.axis.id, node: part.node },
    )
  })
}

/**
 * Why a machine is not fit: the shares in the error of its worst axis, largest first, in a machinist's words.
 *
 * @param job of the axis to explain
 * @param least m; smaller shares are left out
 */
export const errorReasons = (
  outlook: Outlook,
  axis: LoopAxis,
  workClass: WorkClass,
  nominal: NominalError,
  job: AxisJob,
  least = 0.3e-6,
): Reason[] => {
  const now = momentAhead(outlook, 0)
  const excess = axis.pretensionExcess(now.nodes)
  const largest = job.budget[0]?.name ?? ''
  const soaking = Math.abs(outlook.part.heading - outlook.part.temperature) > 0.5
  const doubt = largest === ofThePart && soaking ? 'the part on it is still soaking' : (doubts[largest] ?? largest)
  const reasons = [
    ...sizeReasons(outlook, axis, workClass, now),
    ...driftReasons(outlook, axis, workClass, nominal, now),
    reason(
      'uncertainty',
      job.uncertainty,
      s => `${axis.axis.id} known only to ±${formatGrowth(job.uncertainty, s, 'plain')}: ${doubt}`,
      { axis: axis.axis.id },
    ),
  ]
  if (excess > 0)
    reasons.push(
      reason(
        'pretension',
        0,
        s => `${axis.axis.id} screw: pretension used up, ${formatDifference(excess, s, 'plain')} beyond it`,
        {
          axis: axis.axis.id,
        },
      ),
    )
  return reasons
    .filter(r => r.kind === 'pretension' || Math.abs(r.amount) >= least)
    .sort((a, b) => Math.abs(b.amount) - Math.abs(a.amount))
}

/** Low enough, but not for long enough yet. */
export const waitingReason = (since: string, delay: string): Reason =>
  reason('waiting', 0, () => `low enough since ${since}; fit once it has stayed so for ${delay}`)

/** Puts what disturbs the shop before a reason: "Dock door open 12 min: column rear …". */
export const disturbedBy = (disturbance: string, source: string, of: Reason): Reason => ({
  ...of,
  source,
  text: `${disturbance}: ${of.text}`,
  textInch: `${disturbance}: ${of.textInch}`,
})
