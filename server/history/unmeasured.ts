import { type OpenLoop, openLoopUncertainty, predictOpenLoop, startOpenLoop } from '../../core/settling/index.js'
import type { Machine, Node, Shop } from '../../core/shop.js'
import { usualTimeConstant } from '../monitor/unmeasured-node.js'
import { wasBelieved } from './believed.js'
import type { InForce } from './in-force.js'
import { sensorsAt } from './sensors.js'

/** after so many time constants of what it follows, where a prediction began no longer matters */
const runUpLength = 4

/** The bodies that no sensor is on and no verdict needs: they are predicted, as the monitor does. */
export const unmeasuredBodies = (shop: Shop, machine: Machine): Node[] =>
  machine.nodes.filter(
    ({ id, kind, required }) => kind === 'body' && !required && sensorsAt(shop, machine, id).length === 0,
  )

/** ms; for so long before a moment a prediction is run up to it */
export const runUp = ({ timeConstant = usualTimeConstant }: Pick<Node, 'timeConstant'>): number =>
  runUpLength * 1000 * timeConstant

/** The temperature of a body that no sensor is on, from what it follows and how it was known to settle then. */
export class Prediction {
  private state: OpenLoop | null = null
  /** ms; what it followed had turned out false, and what came then was believed again: it begins anew */
  private readonly anew: readonly number[]

  constructor(
    private readonly node: Node,
    machine: Machine,
    shop: Shop,
    private readonly inForce: Pick<InForce, 'doubted' | 'settling'>,
  ) {
    const followed = sensorsAt(shop, machine, node.follows ?? '').map(({ id }) => inForce.doubted(id))
    this.anew = followed.flatMap(own =>
      own
        .filter(({ to, misled }) => misled && followed.every(other => other === own || !wasBelieved(other, to - 1)))
        .map(({ to }) => to),
    )
  }

  /**
   * Carries the prediction on to the end of an interval. Intervals come in order of time.
   *
   * @param from ms
   * @param to ms
   * @param surroundings mean temperature of what it follows in the interval, °C
   * @returns in the middle of the interval, °C, and how uncertain that is, K (standard)
   */
  follow(from: number, to: number, surroundings: number): { temperature: number; placement: number } {
    const middle = (from + to) / 2
    const known = this.inForce.settling(this.node.id, middle)
    const settings = {
      timeConstant: known?.timeConstant ?? this.node.timeConstant ?? usualTimeConstant,
      steadyExcess: known?.steadyExcess ?? this.node.steadyExcess ?? 0,
    }
    const { state } = this
    const begin =
      state && !this.anew.some(at => state.at < at && at <= to) ? state : startOpenLoop(from, surroundings, settings)
    const then = predictOpenLoop(begin, surroundings, middle, settings)
    this.state = predictOpenLoop(then, surroundings, to, settings)
    return { temperature: then.temperature, placement: openLoopUncertainty(then, settings.timeConstant) }
  }
}
