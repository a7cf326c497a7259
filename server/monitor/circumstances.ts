import type { ThermalLoop } from '../../core/growth/index.js'
import {
  defaultDecisionRule,
  type Outlook,
  type Situation,
  type ThermalState,
  toBecomeFit,
  zeroOf,
} from '../../core/judge/index.js'
import type { Machine, Shop, WorkClass } from '../../core/shop.js'
import type { Datum, DisturbedBy, Reason } from '../../core/state.js'
import type { NodeBoard, NodeNow } from './node-board.js'
import type { NodeFollower } from './node-follower.js'
import type { OverdueSensor } from './overdue.js'
import type { PartFollower } from './part-follower.js'
import type { SourceBoard } from './source-board.js'
import type { SpindleWatch } from './spindle-watch.js'

/**
 * K; a door explains a machine's error while something on it is still this far from where the air is taking it.
 * Judgement
 */
export const noticeable = 0.4
/** ms; what stands open longer is no longer told from what else has moved the air. Judgement, no source */
const longestOpen = 3 * 3_600_000

/**
 * K, standard; how far a node ordinarily goes within so many s. Until enough of it is known, half a kelvin: judgement
 */
const ordinaryChange = (node: NodeFollower | undefined, seconds: number): number => {
  const change = node?.day.ordinaryChange(seconds) ?? Number.NaN
  return Number.isNaN(change) ? 0.5 : change
}

/** What a class is judged by, at one moment. */
export interface Circumstances {
  /** null where a node is unknown */
  outlook: Outlook | null
  /** why nothing can be said; none when all is known */
  unknowns: readonly Reason[]
  /** which nodes another sensor stands in for */
  standIns: readonly Reason[]
  /** a door that stands open or did lately */
  disturbance: DisturbedBy | null
  /** what stands open and acts on the machine */
  open: Situation['open']
  /** K, standard; how far the air at the machine ordinarily goes within so many s */
  airChange: Situation['airChange']
  /** by sensor */
  overdue: ReadonlyMap<string, OverdueSensor>
  /** ms; when the machine's datum was recorded */
  datumAt: number | null
  /** temperatures, °C, in the minutes before a moment (ms) of the last day; NaN where they are not known */
  stateBefore: (time: number) => ThermalState
}

/** What is known of a machine, as far as work on it is judged by that. */
interface Known {
  machine: Machine
  shop: Shop
  /** with the factors that are in force */
  loop: ThermalLoop
  board: NodeBoard
  part: PartFollower
  spindle: SpindleWatch
  sources: SourceBoard
  datum: Datum | null
}

/**
 * What work on a machine is judged by now.
 *
 * @param nodes the machine's, now
 * @param now ms
 * @returns finds it for any class of work, also for one that is not in the shop file
 */
export const circumstancesNow = (
  known: Known,
  nodes: readonly NodeNow[],
  now: number,
): ((workClass: WorkClass) => Circumstances) => {
  const { machine, board, part, sources, datum } = known
  const air = board.followers.find(({ node }) => node.kind === 'air')
  const ofMachine = {
    standIns: standInsOf(machine, nodes),
    disturbance: sources.disturbing(machine.exposedTo, now),
    open: actsOpen(known, air, now),
    airChange: (seconds: number) => ordinaryChange(air, seconds),
    overdue: board.overdue.at(now),
    datumAt: datum?.at ?? null,
    stateBefore: (time: number) => ({
      nodes: Float64Array.from(board.followers, ({ day }) => day.before(time)),
      part: part.day.before(time),
    }),
  }
  return workClass => ({
    ...ofMachine,
    unknowns: unknownsOf(known, nodes, workClass),
    outlook: outlookFor(known, nodes, workClass, now),
  })
}

const outlookFor = (
  { machine, shop, loop, board, part, spindle, datum }: Known,
  nodes: readonly NodeNow[],
  workClass: WorkClass,
  now: number,
): Outlook | null => {
  if (nodes.some(node => !node.outlook)) return null
  const at = machine.nodes.findIndex(n => n.id === machine.workpiece.node)
  return {
    loop,
    coverage: (shop.decisionRule ?? defaultDecisionRule).coverage + toBecomeFit,
    nodes: nodes.map(({ outlook, jobHeat }, i) => ({
      ...outlook!,
      ordinaryChange: ordinaryChange(board.followers[i]!, workClass.duration),
      jobHeat: jobHeat?.(workClass.ownHeat),
    })),
    part: part.outlook(nodes[at]!.outlook!.temperature, machine.workpiece),
    // where each job's start is its zero, no other counts
    datum: workClass.zeroedAt === 'job start' || !datum ? null : zeroOf(machine, datum),
    spindle: spindle.outlook(workClass, datum, now),
  }
}

/** Why nothing can be said of a class; none when all is known. */
const unknownsOf = ({ machine, datum }: Known, nodes: readonly NodeNow[], { zeroedAt }: WorkClass): Reason[] => {
  const found = nodes.flatMap(({ missing }): Reason[] => (missing ? [missing] : []))
  if (zeroedAt === 'job start') return found
  const lacking = machine.nodes.filter(({ id }) => datum?.temperatures[id] === undefined).map(({ name }) => name)
  return lacking.length > 0 ? [...found, { kind: 'zero', lacking: datum ? lacking : null }] : found
}

/** A door or vent that stands open and has moved the air at the machine since, and how warm that was before. */
const actsOpen = ({ machine, sources }: Known, air: NodeFollower | undefined, now: number): Situation['open'] => {
  const present = air?.temperature() ?? null
  if (present === null) return null
  for (const { source, name, from } of sources.open(machine.exposedTo, now - longestOpen)) {
    const before = air!.day.before(from)
    if (Math.abs(present - before) >= noticeable) return { source, name, before }
  }
  return null
}

const standInsOf = (machine: Machine, nodes: readonly NodeNow[]): Reason[] =>
  nodes.flatMap(({ standInName, outlook }, i): Reason[] => {
    if (!standInName || !outlook) return []
    const { id, name } = machine.nodes[i]!
    return [{ kind: 'stand-in', node: id, name, from: standInName, uncertainty: outlook.placement }]
  })
