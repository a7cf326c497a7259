import type { LoopAxis, ThermalLoop } from '../growth/index.js'
import { sizeError } from '../growth/index.js'
import { type Course, soak, soakingUncertainty, temperatureAfter } from '../settling/index.js'
import type { Axis, WorkClass } from '../shop.js'
import { type SpindleOutlook, spindleAhead } from '../spindle/index.js'
import type { PlannedAir } from './plan.js'

/** What is known of one node at a moment, as far as a job's error depends on it. */
export interface NodeOutlook {
  /** °C */
  temperature: number
  /** °C; where the node settles if conditions hold */
  steadyTemperature: number
  /** s; Infinity for a node that keeps its temperature (air, a steady coolant) */
  timeConstant: number
  /** relative standard uncertainty of the time constant */
  timeConstantUncertainty: number
  /** K; standard uncertainty of the distance still to go, steadyTemperature − temperature */
  steadyUncertainty: number
  /** K; what that uncertainty usually is of this node; not given where it is not known. Under a plan it tells nothing */
  usualSteadyUncertainty?: number | undefined
  /** K; standard uncertainty of the sensor's calibration */
  calibration: number
  /** the batch of sensors that its own belongs to; `uncertainty`: K, standard, of the offset that all of them share */
  batch?: { name: string; uncertainty: number } | undefined
  /** K; standard uncertainty that the sensor stands for the node */
  placement: number
  /** index of the air or coolant node it follows; −1 for those themselves */
  follows: number
  /** K; how much that air or coolant ordinarily changes within the job */
  ordinaryChange: number
  /** what a job's work adds to where the node settles, beyond what works there now: K, with its standard uncertainty */
  jobHeat?: { rise: number; uncertainty: number } | undefined
  /** its usual day is known, and forecasts of a day have been compared with what came */
  hasLearned?: boolean | undefined
  /** where it is heading as its own past tells; computed when it is asked for. Without it: as its surroundings tell */
  course?: (() => Course) | undefined
}

/** The part on the machine: approaches a node's temperature first order. */
export interface PartOutlook {
  /** °C */
  temperature: number
  /** °C */
  steadyTemperature: number
  /** s */
  timeConstant: number
  /** K; standard uncertainty of the part's temperature now */
  uncertainty: number
  /** K; the same once it has soaked */
  uncertaintySoaked: number
  /** K; derivative of its temperature with respect to the logarithm of its time constant */
  slope: number
}

/** The thermal state in which a machine was zeroed. */
export interface Zero {
  /** °C, in the order of the machine's nodes */
  nodes: Float64Array
  /** °C; of the part */
  part: number
  /**
   * a first part was measured then and the size corrected by what it was off; otherwise the zero was taken at one place,
   * which takes away where that place had drifted to, but not what a warm scale does over a length
   */
  firstPart: boolean
}

/** What is known of a machine at a moment, as far as the thermal error of a job that begins then depends on it. */
export interface Outlook {
  loop: ThermalLoop
  /** in the order of the machine's nodes */
  nodes: NodeOutlook[]
  part: PartOutlook
  /** standard uncertainties between an error and the share that a machine must have to become fit; 2 if not given */
  coverage?: number
  /** what the machine's zero counts from; null for work that is zeroed at each job's start */
  datum: Zero | null
  /** of a machine whose spindle was tested, or whose growth the shop file states */
  spindle?: SpindleOutlook | null
  /** a plan and the temperatures so many seconds ahead under it (`underPlan`); without it, conditions hold */
  plan?: readonly PlannedAir[]
  trajectory?: (ahead: number) => ThermalState
}

/** Temperatures of nodes (in the order of the machine's) and part at a moment ahead, °C. */
export interface ThermalState {
  nodes: Float64Array
  part: number
}

/** Temperatures `ahead` seconds from now, °C: under the outlook's plan, or if conditions hold. */
export const stateAhead = ({ nodes, part, trajectory }: Outlook, ahead: number): ThermalState => {
  if (trajectory) return trajectory(ahead)
  const temperatures = new Float64Array(nodes.length)
  for (let i = 0; i < nodes.length; i++) {
    const node = nodes[i]!
    temperatures[i] = Number.isFinite(node.timeConstant)
      ? temperatureAfter(node.temperature, node.steadyTemperature, node.timeConstant, ahead)
      : node.temperature
  }
  return {
    nodes: temperatures,
    part: temperatureAfter(part.temperature, part.steadyTemperature, part.timeConstant, ahead),
  }
}

/**
 * Standard uncertainty of the part's temperature, K.
 *
 * @param soaked K; what it is once the part has soaked
 * @param slope K; how much the temperature depends on the logarithm of the part's time constant
 */
export const partUncertainty = (soaked: number, slope: number): number => Math.hypot(soaked, slope * soakingUncertainty)

/**
 * K, standard; how well it is known where a node is heading once it has been watched for a while with nothing new
 * happening, where what is usual of the node is not known. Judgement, no source.
 */
const watchedSteady = 0.15
/** s; time constant with which a node that is watched becomes known so well. Judgement, no source */
const watching = 1800

/** How well it is known where a node is heading once `fading` of what is unusual now is left, K. */
const watchedOn = (now: number, usual: number | undefined, fading: number): number =>
  usual === undefined ? Math.min(now, Math.hypot(watchedSteady, now * fading)) : usual + (now - usual) * fading

/** With a value, if it be undefined, for each key that there may be: the compiler says where one is forgotten. */
type EachOf<T> = { [K in keyof Required<T>]: T[K] }

/**
 * The same outlook `ahead` seconds later, under its plan or if conditions hold. By then the nodes have been watched on,
 * so that it is known better where they are heading, and the part has soaked on.
 */
export const outlookAhead = (outlook: Outlook, ahead: number): Outlook => {
  const state = stateAhead(outlook, ahead)
  const { plan, trajectory, loop } = outlook
  const fading = Math.exp(-ahead / watching)
  // under a plan the surroundings move, and where their followers are heading moves with them
  const moved = outlook.nodes.map((node, i) => state.nodes[i]! - node.temperature)
  const bath = loop.machine.nodes.findIndex(node => node.id === loop.machine.workpiece.node)
  const partSteady = outlook.part.steadyTemperature + (outlook.nodes[bath]?.follows === -1 ? moved[bath]! : 0)
  const held = soak({ at: 0, ...outlook.part }, outlook.part.steadyTemperature, outlook.part.timeConstant, ahead).slope
  // under a plan the bath moves on the way: as if all that is left had been there from the beginning
  const slope = trajectory ? Math.max(Math.abs(held), Math.abs(partSteady - state.part)) : held
  return {
    ...outlook,
    ...(trajectory && { trajectory: (later: number) => trajectory(ahead + later) }),
    ...(outlook.spindle && { spindle: spindleAhead(outlook.spindle, ahead) }),
    nodes: outlook.nodes.map((node, i): EachOf<NodeOutlook> => {
      const { steadyTemperature: steady, steadyUncertainty, usualSteadyUncertainty, follows } = node
      // all written out: asked very often, and to spread them costs many times as much
      return {
        temperature: state.nodes[i]!,
        steadyTemperature: follows < 0 ? steady : steady + moved[follows]!,
        timeConstant: node.timeConstant,
        timeConstantUncertainty: node.timeConstantUncertainty,
        steadyUncertainty: watchedOn(steadyUncertainty, plan ? undefined : usualSteadyUncertainty, fading),
        usualSteadyUncertainty,
        calibration: node.calibration,
        batch: node.batch,
        placement: node.placement,
        follows,
        ordinaryChange: node.ordinaryChange,
        jobHeat: node.jobHeat,
        hasLearned: node.hasLearned,
        course: node.course,
      }
    }),
    part: {
      ...outlook.part,
      temperature: state.part,
      steadyTemperature: partSteady,
      slope,
      uncertainty: partUncertainty(outlook.part.uncertaintySoaked, slope),
    },
  }
}

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

/** that start and these */
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
