import type { LoopAxis } from '../growth/index.js'
import type { WorkClass } from '../shop.js'
import type { AxisJob, DisturbedBy, Reason, UncertaintyCause } from '../state.js'
import { type NominalError, stateAtDrift, timesCounted } from './job.js'
import { type Outlook, stateAhead, type ThermalState } from './outlook.js'
import { causeOfUncertainty } from './uncertainty-cause.js'

/** to the nanometre and the thousandth of a kelvin: more is noise, and a burden for the stream to the pages */
const metres = (value: number) => Math.round(value * 1e9) / 1e9
const kelvin = (value: number) => Math.round(value * 1e3) / 1e3

/** s; how far ahead a share in the error is looked at */
const hour = 3600

/** The size error of a feature in two shares: machine against part, and material of the one against that of the other. */
const sizeShares = (outlook: Outlook, axis: LoopAxis, workClass: WorkClass, state: ThermalState) => {
  const { loop } = outlook
  // sizes count from a part that was proved; where the machine was zeroed only, from the reference temperature
  const datum = outlook.datum?.firstPart ? outlook.datum : null
  const { alpha } = axis.axis.measuring.material
  const rise = state.part - (datum?.part ?? loop.reference)
  // the rise a free screw or scale of this material would need for its present growth
  const machineRise = (axis.growthPerMetre(state.nodes) - (datum ? axis.growthPerMetre(datum.nodes) : 0)) / alpha
  const apart = machineRise - rise
  return {
    rise,
    apart,
    fromApart: workClass.featureLength * alpha * apart,
    fromMaterial: workClass.featureLength * (alpha - workClass.material.alpha) * rise,
  }
}

const sizeReasons = (outlook: Outlook, axis: LoopAxis, workClass: WorkClass, now: ThermalState): Reason[] => {
  const { apart, rise, fromApart, fromMaterial } = sizeShares(outlook, axis, workClass, now)
  const inAnHour = sizeShares(outlook, axis, workClass, stateAhead(outlook, hour)).fromApart
  const shared = {
    axis: axis.axis.id,
    tolerance: workClass.tolerance,
    length: workClass.featureLength,
    sinceDatum: outlook.datum?.firstPart ?? false,
  }
  return [
    {
      kind: 'growth',
      ...shared,
      element: axis.axis.measuring.kind,
      apart: kelvin(apart),
      amount: metres(fromApart),
      inAnHour: metres(inAnHour),
    },
    {
      kind: 'workpiece',
      ...shared,
      material: workClass.material.name,
      temperature: kelvin(now.part),
      rise: kelvin(rise),
      reference: outlook.loop.reference,
      amount: metres(fromMaterial),
    },
  ]
}

const driftReasons = (
  outlook: Outlook,
  axis: LoopAxis,
  workClass: WorkClass,
  nominal: NominalError,
  now: ThermalState,
): Reason[] => {
  const sinceDatum = outlook.datum !== null
  const times = timesCounted(axis.axis, workClass)
  const to = stateAtDrift(outlook, nominal).nodes
  const from = sinceDatum ? outlook.datum!.nodes : now.nodes
  const { nodes } = outlook.loop.machine
  return axis.elements.map(element => {
    const node = nodes.findIndex(({ id }) => id === element.node)
    const bends = element.kind === 'bending column'
    const at = (t: Float64Array) => element.growthAt(axis.axis.workAt, t)
    return {
      kind: bends ? 'bending' : 'drift',
      axis: axis.axis.id,
      tolerance: workClass.tolerance,
      node: element.node,
      name: bends ? nodes[node]!.name : element.name,
      change: kelvin(to[node]! - from[node]!),
      duration: workClass.duration,
      sinceDatum,
      now: nominal.driftAt === 0,
      onDiameter: times === 2,
      amount: metres(times * (at(to) - at(from))),
    }
  })
}

const spindleReasons = (
  { spindle, datum }: Outlook,
  { axis }: LoopAxis,
  workClass: WorkClass,
  nominal: NominalError,
): Reason[] =>
  spindle?.axis === axis.id
    ? [
        {
          kind: 'spindle',
          axis: axis.id,
          tolerance: workClass.tolerance,
          speed: spindle.speed,
          duration: workClass.duration,
          sinceDatum: datum !== null,
          onDiameter: timesCounted(axis, workClass) === 2,
          isLive: spindle.isLive,
          isBeyond: spindle.isBeyond,
          testedAt: spindle.testedAt,
          amount: metres(nominal.spindle),
        },
      ]
    : []

/** m; signed share in the error, 0 of a reason that is none */
const shareOf = (reason: Reason): number => ('amount' in reason ? reason.amount : 0)

/**
 * Why a machine is not fit: the shares in the error of its worst axis, largest first.
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
  const now = stateAhead(outlook, 0)
  const excess = axis.pretensionExcess(now.nodes)
  const cause = causeOfUncertainty(outlook, axis, workClass, nominal, job.budget[0]?.name ?? '')
  const shares: Reason[] = [
    ...sizeReasons(outlook, axis, workClass, now),
    ...driftReasons(outlook, axis, workClass, nominal, now),
    ...spindleReasons(outlook, axis, workClass, nominal),
  ]
  if (cause)
    shares.push({
      kind: 'uncertainty',
      axis: axis.axis.id,
      tolerance: workClass.tolerance,
      amount: metres(job.uncertainty),
      cause,
    })
  const found = shares.filter(reason => Math.abs(shareOf(reason)) >= least)
  if (excess > 0) found.push({ kind: 'pretension', axis: axis.axis.id, excess: kelvin(excess) })
  return found.sort((a, b) => Math.abs(shareOf(b)) - Math.abs(shareOf(a)))
}

/** what an open door makes less sure; how well a sensor or a coefficient is known is none of its doing */
const unsure: readonly string[] = ['part', 'steady temperature', 'air changes'] satisfies UncertaintyCause['kind'][]

/** K; air that has moved less while a door was open makes nothing less sure. Judgement, no source */
const noticeable = 0.4
/**
 * standard deviations of what the air ordinarily does within a job: air that has moved less makes nothing less sure,
 * either
 */
const beyondOrdinary = 3

/** Temperatures before a door was opened and when it was shut, or now; NaN where they are not known. */
interface Opening {
  before: ThermalState
  after: ThermalState
  /** it is shut again */
  over: boolean
}
/** part of what is to be explained that must have come since; judgement, no source */
const explained = 0.5

/**
 * Whether what a reason speaks of has come since a door was opened, rather than having been so before.
 *
 * Once the door is shut, what the air did while it was open is on its way back: then that must have been enough.
 *
 * @param axis the one that the reason is about
 */
const hasActed = (
  of: Extract<Reason, { amount: number }>,
  outlook: Outlook,
  axis: LoopAxis,
  workClass: WorkClass,
  { before, after, over }: Opening,
): boolean => {
  const { nodes, loop } = outlook
  const since = (came: number, whole: number) => came * Math.sign(whole) >= explained * Math.abs(whole)
  const moved = (i: number) => after.nodes[i]! - before.nodes[i]!
  switch (of.kind) {
    case 'growth': {
      const [then, now] = [before, over ? after : stateAhead(outlook, 0)].map(
        state => sizeShares(outlook, axis, workClass, state).fromApart,
      )
      return since(now! - then!, now!)
    }
    case 'workpiece':
      return since((over ? after.part : outlook.part.temperature) - before.part, of.rise)
    case 'drift':
    case 'bending': {
      const node = loop.machine.nodes.findIndex(({ id }) => id === of.node)
      if (of.sinceDatum && since(moved(node), of.change)) return true
      // what is still to come is the doing of the air that it follows
      const { follows } = nodes[node]!
      const air = moved(follows < 0 ? node : follows)
      return !of.now && since(over ? Math.abs(air) * Math.sign(of.change) : air, of.change)
    }
    default:
      return nodes.some(
        ({ follows, ordinaryChange }, i) =>
          follows < 0 && Math.abs(moved(i)) >= Math.max(noticeable, beyondOrdinary * ordinaryChange),
      )
  }
}

/**
 * Says of a share in the error that a door explains it, where it does; of another reason nothing.
 *
 * @param opening of that door
 */
export const disturbedBy = (
  disturbance: DisturbedBy,
  of: Reason,
  outlook: Outlook,
  axis: LoopAxis,
  workClass: WorkClass,
  opening: Opening,
): Reason => {
  if (!('amount' in of) || of.kind === 'spindle' || (of.kind === 'uncertainty' && !unsure.includes(of.cause.kind)))
    return of
  return hasActed(of, outlook, axis, workClass, opening) ? { ...of, disturbance } : of
}
