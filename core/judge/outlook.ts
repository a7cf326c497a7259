import type { ThermalLoop } from '../growth/index.js'
import { type CourseAhead, soak, soakingUncertainty, temperatureAfter } from '../settling/index.js'
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
  course?: (() => CourseAhead) | undefined
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

/** Temperatures of an outlook's nodes now, °C, in their order. */
export const present = ({ nodes }: Outlook): Float64Array => {
  // a loop: asked very often, and mapping into a typed array costs many times as much
  const t = new Float64Array(nodes.length)
  for (let i = 0; i < t.length; i++) t[i] = nodes[i]!.temperature
  return t
}

/** The same outlook with the machine zeroed now: with a first part measured, or at one place. */
export const zeroedNow = (outlook: Outlook, firstPart: boolean): Outlook => ({
  ...outlook,
  datum: { nodes: present(outlook), part: outlook.part.temperature, firstPart },
})

/** The same part once it has soaked. */
export const soakedPart = (part: PartOutlook): PartOutlook => ({
  ...part,
  temperature: part.steadyTemperature,
  slope: 0,
  uncertainty: part.uncertaintySoaked,
})
