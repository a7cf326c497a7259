import { UnmeasuredBody } from '../../core/settling/index.js'
import type { Machine, Node, Shop } from '../../core/shop.js'
import { usualTimeConstant } from '../monitor/unmeasured-node.js'
import { wasBelieved } from './believed.js'
import type { InForce } from './in-force.js'
import { bodiesBeside, sensorsAt } from './sensors.js'

/** after so many time constants of what it follows, where a prediction began no longer matters */
const runUpLength = 4
/** ms; over which bodies beside it are compared before, as a restart does */
const comparedOver = 48 * 3_600_000

/** ms; for so long before a moment a prediction is run up to it */
export const runUp = ({ timeConstant = usualTimeConstant }: Pick<Node, 'timeConstant'>): number =>
  Math.max(comparedOver, runUpLength * 1000 * timeConstant)

/** The temperature of a body that no sensor is on, from what it follows and how it was known to settle then. */
export class Prediction {
  private body = new UnmeasuredBody()
  /** ms; what it followed had turned out false, and what came then was believed again: it begins anew */
  private readonly anew: readonly number[]
  private readonly beside: readonly Node[]
  private readonly followed: Node | undefined

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
    this.followed = machine.nodes.find(({ id }) => id === node.follows)
    this.beside = bodiesBeside(shop, machine, node)
  }

  /**
   * Carries the prediction on to the end of an interval. Intervals come in order of time.
   *
   * @param from ms
   * @param to ms
   * @param surroundings mean temperature of what it follows in the interval, °C
   * @param ownMean mean of what a node's own sensors told in the interval, °C; null where they told nothing
   * @returns in the middle of the interval, °C, and how uncertain that is, K (standard)
   */
  follow(
    from: number,
    to: number,
    surroundings: number,
    ownMean: (node: Node) => number | null,
  ): { temperature: number; placement: number } {
    const middle = (from + to) / 2
    const known = this.inForce.settling(this.node.id, middle)
    const settings = {
      timeConstant: known?.timeConstant ?? this.node.timeConstant ?? usualTimeConstant,
      steadyExcess: known?.steadyExcess ?? this.node.steadyExcess ?? 0,
      surroundingsPlacement: this.followed?.placementUncertainty ?? 0,
    }
    const measured = this.beside.flatMap(node => {
      const temperature = ownMean(node)
      if (temperature === null) return []
      const timeConstant =
        this.inForce.settling(node.id, middle)?.timeConstant ?? node.timeConstant ?? usualTimeConstant
      return [{ id: node.id, temperature, timeConstant, placement: node.placementUncertainty }]
    })
    const { at } = this.body
    if (at !== null && this.anew.some(moment => at < moment && moment <= to)) this.body.forget()
    if (this.body.at === null) this.body.follow(from, surroundings, measured, settings)
    this.body.follow(middle, surroundings, measured, settings)
    const { temperature, uncertainty } = this.body.estimateAt(middle, surroundings, settings)!
    this.body.follow(to, surroundings, null, settings)
    return { temperature, placement: uncertainty }
  }
}
