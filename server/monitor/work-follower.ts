import type { NodeOutlook } from '../../core/judge/index.js'
import { type BodyHeat, drivingExcess, WorkingHeat } from '../../core/settling/index.js'
import type { WorkClass } from '../../core/shop.js'
import type { NodeFollower } from './node-follower.js'

/** ms; how often the own heat is looked at */
const every = 300_000
/** ms; over which it is taken */
const over = 900_000
/** ms; over which the air is averaged, which a body follows slowly. Judgement, no source */
const airOver = 1_800_000

/** Follows what a machine's work does to its bodies: see `WorkingHeat`. */
export class WorkFollower {
  private readonly heat: WorkingHeat
  /** index of each body in `heat`, by node */
  private readonly indexes: ReadonlyMap<string, number>
  /** number of the five minutes that were looked at last */
  private looked = Number.NaN

  constructor(private readonly followers: readonly NodeFollower[]) {
    const bodies = followers.filter(({ node }) => node.kind === 'body')
    this.indexes = new Map(bodies.map(({ node }, i) => [node.id, i]))
    this.heat = new WorkingHeat(bodies.length)
  }

  /** Something was taken by a follower at a moment (ms). */
  follow(at: number): void {
    const moment = Math.floor(at / every)
    if (!(moment > this.looked) && !Number.isNaN(this.looked)) return
    this.looked = moment
    // of the interval before the last one, which has ended for every node
    const now = at - every
    const excess: number[] = []
    for (const { node, day, timeConstant } of this.followers) {
      if (node.kind !== 'body') continue
      const air = this.meanOf(node.follows, now)
      excess.push(drivingExcess(day.before(now - over), day.before(now), air, timeConstant ?? 3600, over / 1000))
    }
    const air = this.followers.find(({ node }) => node.kind === 'air')
    this.heat.take(excess, air ? air.day.before(now) : Number.NaN)
  }

  /** Mean temperature of a node lately, °C. */
  private meanOf(id: string | undefined, at: number): number {
    const day = this.followers.find(({ node }) => node.id === id)?.day
    if (!day) return Number.NaN
    let sum = 0
    for (let ago = 0; ago < airOver; ago += every) sum += day.before(at - ago)
    return (sum * every) / airOver
  }

  /** What work adds to a body; undefined for another node. */
  of(node: string): BodyHeat | undefined {
    const index = this.indexes.get(node)
    return index === undefined ? undefined : this.heat.bodies[index]
  }
}

/** factor on what a machine's usual work adds to it, by how much a job heats it. Judgement, no source */
const harder = { light: 0.5, ordinary: 1, heavy: 1.5 } as const

/**
 * What a job adds to a body that is driven so far (K) above its surroundings now: what works there already counts. Where
 * the work class says nothing of it, that of ordinary work, once work of the machine has been seen.
 */
export const jobHeatOf =
  (heat: BodyHeat | undefined, excess: number): ((ownHeat: WorkClass['ownHeat']) => NodeOutlook['jobHeat']) =>
  ownHeat => {
    if (!heat || ownHeat === 'when it shows' || (!ownHeat && heat.spells === 0)) return undefined
    const factor = harder[ownHeat ?? 'ordinary']
    const rest = heat.rest ?? 0
    const rise = Math.max(0, rest + factor * heat.added - Math.max(excess, rest))
    return { rise, uncertainty: factor * heat.uncertainty }
  }
