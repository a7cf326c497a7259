import { type CourseAhead, changeAt, spreadAt } from '../settling/index.js'
import type { WorkClass } from '../shop.js'
import type { Outlook } from './outlook.js'
import type { Sensitivities } from './uncertainty.js'

/** A job's machine on its way to the job's start. */
interface Way {
  outlook: Outlook
  /** of the nodes that have learned one, where they are heading as their past tells */
  courses: readonly (CourseAhead | null)[]
  /** a zero is taken when the job begins */
  zeroing: boolean
}

/**
 * How the air ordinarily changes in a longer time than the job's: as its square root, up to so many times as much, for it
 * comes back to its daily course. Common practice, no source.
 */
const mostOfAir = 3

/**
 * K, standard: how far a node may be from where it would be if conditions held. Each for causes that it shares with all
 * nodes that follow the same air or coolant, and for its own.
 */
interface Off {
  /** when the job begins */
  start: [shared: number, own: number]
  /** and how much further it may stray within the job */
  within: [shared: number, own: number]
}

/**
 * What is known of a node's way to a job's start. Where its own past tells how far such nodes stray in so long a time, and
 * where they usually go, that counts, half of the variance for a shared cause; else the ordinary changes of the air, and
 * how well it is known where the node is heading and how quickly.
 */
const offOf = ({ outlook, courses }: Way, later: Outlook, i: number, duration: number, ahead: number): Off => {
  const node = outlook.nodes[i]!
  const course = courses[i]
  if (course) {
    const held = later.nodes[i]!.temperature - node.temperature
    const start = Math.hypot(spreadAt(course, ahead), changeAt(course, ahead) - held) * Math.SQRT1_2
    // what may have begun just before the job goes on in it; of what begins in it the job's own budget tells
    const within = spreadAt(course, duration) * Math.sqrt(Math.min(1, ahead / duration)) * Math.SQRT1_2
    return { start: [start, start], within: [within, within] }
  }
  const more = Math.min(Math.sqrt(ahead / duration), mostOfAir)
  const change = more * outlook.nodes[node.follows < 0 ? i : node.follows]!.ordinaryChange
  if (node.follows < 0) return { start: [change, 0], within: [0, 0] }
  const passed = ahead / node.timeConstant
  const came = 1 - Math.exp(-passed)
  const slow = (node.steadyTemperature - node.temperature) * passed * (1 - came) * node.timeConstantUncertainty
  return { start: [came * change, Math.hypot(node.steadyUncertainty * came, slow)], within: [0, 0] }
}

/**
 * Standard uncertainty that an error has from what lies between now and the job's start, m: by causes that nodes share,
 * and by those of each. A zero taken at the job's start takes the position's share until then away.
 *
 * @param later the outlook at the job's start
 * @param ahead s from now until the job's start
 * @see JCGM 100:2008 (GUM), 5.1 and 5.2
 */
export const onTheWay = (
  of: Way,
  later: Outlook,
  { size, position }: Sensitivities,
  workClass: WorkClass,
  ahead: number,
): [shared: number, own: number] => {
  if (ahead <= 0) return [0, 0]
  const { nodes, part, loop, datum } = of.outlook
  const shifts = datum && !of.zeroing
  const groupOf = (i: number) => (nodes[i]!.follows < 0 ? i : nodes[i]!.follows)
  const sizes = new Float64Array(nodes.length)
  const positions = new Float64Array(nodes.length)
  let own = 0
  const bath = loop.machine.nodes.findIndex(({ id }) => id === loop.machine.workpiece.node)
  const partCame = 1 - Math.exp(-ahead / part.timeConstant)
  nodes.forEach((_, i) => {
    if (i !== bath && size[i] === 0 && position[i] === 0) return
    const { start, within } = offOf(of, later, i, workClass.duration, ahead)
    const group = groupOf(i)
    const ofPart = i === bath ? workClass.featureLength * workClass.material.alpha * partCame : 0
    const moves = position[i]!
    sizes[group]! += (size[i]! - ofPart) * start[0]
    positions[group]! += moves * (shifts ? start[0] : within[0])
    own += (Math.abs(size[i]! - ofPart) * start[1] + Math.abs(moves) * (shifts ? start[1] : within[1])) ** 2
  })
  let shared = 0
  for (let i = 0; i < sizes.length; i++) shared += (Math.abs(sizes[i]!) + Math.abs(positions[i]!)) ** 2
  return [Math.sqrt(shared), Math.sqrt(own)]
}
