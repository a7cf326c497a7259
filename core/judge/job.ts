import { type LoopAxis, sizeError } from '../growth/index.js'
import type { Axis, WorkClass } from '../shop.js'
import { type Outlook, stateAhead, type ThermalState } from './outlook.js'

/**
 * Fractions of a job's duration at which its drift is looked at, besides its start: a sum of first-order approaches has
 * its extremes near these.
 */
const stages = [0.25, 0.5, 0.75, 1]

/** Nominal thermal error of a job on one axis. m, signs kept. */
export interface NominalError {
  /** of a feature cut at the job's start; positive = it comes out longer */
  sizeError: number
  /** the largest one within the job, counted on the size: twice the axis' own where it makes a diameter by a radius */
  drift: number
  /** what of it is there at the job's start: 0 for work that is zeroed then */
  driftNow: number
  /** the moment of the largest drift, s after the job's start */
  driftAt: number
  /** what the spindle's growth has in that largest drift, m */
  spindle: number
  /** it is that of a job which heats the machine as its work usually does; otherwise of one that hardly does */
  heated: boolean
}

const sizeErrorAt = (outlook: Outlook, axis: LoopAxis, workClass: WorkClass, state: ThermalState): number => {
  const { featureLength, material } = workClass
  const { datum, loop } = outlook
  const of = ({ nodes, part }: ThermalState) =>
    sizeError(featureLength, axis.growthPerMetre(nodes), material.alpha, part - loop.reference)
  return datum?.firstPart ? of(state) - of(datum) : of(state)
}

/**
 * How often a shift of an axis counts in the size: twice where it works on a radius and the size is a diameter. Growth
 * per metre needs no such factor, for a diameter is cut at half its length from the middle: twice the half is the whole.
 */
export const timesCounted = (axis: Axis, workClass: WorkClass): 1 | 2 =>
  axis.readsDiameter || workClass.readsDiameter ? 2 : 1

/**
 * The largest drift of the zero within a job.
 *
 * @param states of the job: its start, then each of `stages`
 * @param spindle m; what the spindle's growth moves the zero by at those moments
 * @param heated whether those states hold the job's own heat
 */
const largestDrift = (
  outlook: Outlook,
  axis: LoopAxis,
  workClass: WorkClass,
  states: readonly ThermalState[],
  spindle: readonly number[],
  heated: boolean,
) => {
  const start = states[0]!
  const times = timesCounted(axis.axis, workClass)
  const positionAt = (nodes: Float64Array) => times * axis.growthAt(axis.axis.workAt, nodes)
  const zero = positionAt(outlook.datum?.nodes ?? start.nodes)
  const driftNow = positionAt(start.nodes) - zero + spindle[0]!
  let drift = driftNow
  let driftAt = 0
  let ofSpindle = spindle[0]!
  stages.forEach((stage, k) => {
    const change = positionAt(states[k + 1]!.nodes) - zero + spindle[k + 1]!
    if (Math.abs(change) > Math.abs(drift)) {
      drift = change
      ofSpindle = spindle[k + 1]!
      driftAt = stage * workClass.duration
    }
  })
  return { drift, driftNow, driftAt, spindle: ofSpindle, heated }
}

/**
 * The same thermal state with the heat that a job's work has added by then: each body approaches its new balance first
 * order.
 *
 * @param after s since the job's start
 */
const withJobHeat = ({ nodes }: Outlook, { nodes: before, part }: ThermalState, after: number): ThermalState => {
  // a loop: asked very often, and mapping a typed array costs many times as much
  const heated = new Float64Array(before.length)
  for (let i = 0; i < heated.length; i++) {
    const { jobHeat, timeConstant } = nodes[i]!
    heated[i] = jobHeat ? before[i]! + jobHeat.rise * (1 - Math.exp(-after / timeConstant)) : before[i]!
  }
  return { nodes: heated, part }
}

/** Temperatures at the moment of a job's largest drift, for a job that starts now. */
export const stateAtDrift = (outlook: Outlook, { driftAt, heated }: NominalError): ThermalState => {
  const state = stateAhead(outlook, driftAt)
  return heated ? withJobHeat(outlook, state, driftAt) : state
}

/** 0..1; fractions of a job's duration at which its states are looked at: the start and the stages */
const moments: readonly number[] = [0, ...stages]
const none: readonly number[] = moments.map(() => 0)

/**
 * What the spindle's growth may move an axis' zero by, at a job's start and its stages: each of the courses that count.
 *
 * @param ahead s from now until the job starts
 * @returns m; one course of nothing for an axis that no spindle moves
 */
const spindleShifts = (
  { spindle }: Outlook,
  { axis }: LoopAxis,
  workClass: WorkClass,
  ahead: number,
): (readonly number[])[] => {
  if (spindle?.axis !== axis.id) return [none]
  const times = spindle.sign * timesCounted(axis, workClass)
  return spindle.courses.flatMap(course => {
    const growth = moments.map(stage => course(ahead, stage * workClass.duration))
    return (spindle.zeros ?? [growth[0]!]).map(zero => growth.map(x => times * (x - zero)))
  })
}

/**
 * Nominal error of a job on every axis, under the outlook's plan or if conditions hold. A job may heat the machine as its
 * work usually does, or hardly, and its spindle may go one way or another: the case with the largest drift counts.
 *
 * @param ahead s from now until the job starts
 * @returns m, in the order of the loop's axes
 */
export const nominalErrors = (outlook: Outlook, workClass: WorkClass, ahead = 0): NominalError[] => {
  const states = moments.map(stage => stateAhead(outlook, ahead + stage * workClass.duration))
  const isHeated = outlook.nodes.some(({ jobHeat }) => jobHeat && jobHeat.rise > 0)
  const warmed = isHeated ? states.map((state, k) => withJobHeat(outlook, state, moments[k]! * workClass.duration)) : []
  return outlook.loop.axes.map(axis => {
    let worst: Omit<NominalError, 'sizeError'> | null = null
    for (const shift of spindleShifts(outlook, axis, workClass, ahead))
      for (const heated of isHeated ? [false, true] : [false]) {
        const each = largestDrift(outlook, axis, workClass, heated ? warmed : states, shift, heated)
        if (!worst || Math.abs(each.drift) > Math.abs(worst.drift)) worst = each
      }
    return { sizeError: sizeErrorAt(outlook, axis, workClass, states[0]!), ...worst! }
  })
}

/**
 * Magnitude |size error| + |drift|: on which side of a feature the drift falls is not known, so the worse one counts. m
 */
export const combinedError = ({ sizeError, drift }: Pick<NominalError, 'sizeError' | 'drift'>): number =>
  Math.abs(sizeError) + Math.abs(drift)

/**
 * What that error runs through within the job: to either side of the size error, as the drift may fall on the near or the
 * far side of the feature. Its larger end is `combinedError`. m
 */
export const errorRange = ({ sizeError, drift }: NominalError): { low: number; high: number } => ({
  low: sizeError - Math.abs(drift),
  high: sizeError + Math.abs(drift),
})

/** What would be measured on a feature cut at the job's start, with its sign: size error and the drift until then. m */
export const measuredError = ({ sizeError, driftNow }: NominalError): number => sizeError + driftNow
