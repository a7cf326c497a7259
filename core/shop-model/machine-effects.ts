import type { Node } from '../shop.js'
import { normalQuantile } from '../statistics/normal.js'
import type { ShopEffects, Which } from './effects.js'
import { meanOf } from './known.js'
import { lagged } from './lag.js'
import { ownHeat, whenItWorked } from './own-heat.js'

/** A node of a machine over a span, as the effects of causes reach it. */
export interface NodeOverSpan extends Pick<Node, 'id' | 'name' | 'kind' | 'follows'> {
  /** °C; NaN where not known */
  temperature: Float64Array
  /** s, and its relative standard uncertainty; of a body */
  timeConstant: number
  uncertainty: number
}

/** A machine over a span. */
export interface MachineOverSpan {
  id: string
  nodes: NodeOverSpan[]
  /** m; growth of an axis where the work is held, from °C in the order of the nodes; null: no axis is asked for */
  growth: ((temperatures: ArrayLike<number>) => number) | null
}

/** What a cause did to a machine, K by node in their order. */
export type NodeEffects = Float64Array[]

/** Carries the effects on places on to the nodes of one machine, which follow their air with their own time constants. */
export class MachineEffects {
  private readonly works: readonly boolean[] | null
  private readonly ownWork = new Map<Which, NodeEffects>()

  constructor(
    private readonly machine: MachineOverSpan,
    private readonly effects: ShopEffects,
    private readonly spacing: number,
    private readonly begin: number,
  ) {
    this.works = whenItWorked(machine, spacing)
  }

  /** @param causes ids of sources, `outdoors`, `week`, `own work` */
  of(causes: readonly string[], which: Which): NodeEffects {
    const places = this.effects.of(causes, which)
    const { nodes, id } = this.machine
    const length = nodes[0]!.temperature.length
    const found = new Map<string, Float64Array>()
    const effectOn = (node: NodeOverSpan): Float64Array => {
      const known = found.get(node.id)
      if (known) return known
      // a node that follows itself through others would never end
      found.set(node.id, new Float64Array(length))
      const followed = node.kind === 'body' ? nodes.find(other => other.id === node.follows) : undefined
      const own = causes.includes('own work') ? this.work(which)[nodes.indexOf(node)]! : null
      const reached =
        node.kind !== 'body'
          ? (places.get(`${id}/${node.id}`) ?? new Float64Array(length))
          : followed
            ? lagged(effectOn(followed), this.timeConstant(node, which), this.spacing, 0)
            : new Float64Array(length)
      const effect = own ? reached.map((value, i) => value + own[i]!) : reached
      found.set(node.id, effect)
      return effect
    }
    return nodes.map(effectOn)
  }

  private work(which: Which): NodeEffects {
    const known = this.ownWork.get(which)
    if (known) return known
    const { machine, works, spacing, begin, effects } = this
    const { nodes } = machine
    const found = works
      ? ownHeat(machine, works, spacing, begin, node => this.timeConstant(node, which))
      : nodes.map(node => {
          // nothing tells work from rest: then what a body did beyond following its air is taken for its work
          const around = node.kind === 'body' ? nodes.find(({ id }) => id === node.follows)?.temperature : undefined
          const followed = around && lagged(around, this.timeConstant(node, which), spacing)
          return followed ? ownCourse(node.temperature, followed, begin) : new Float64Array(node.temperature.length)
        })
    machine.nodes.forEach(({ id, kind, temperature }, n) => {
      const followed = kind === 'coolant' ? effects.following(`${machine.id}/${id}`) : null
      if (followed) found[n] = ownCourse(temperature, followed, begin)
    })
    this.ownWork.set(which, found)
    return found
  }

  /** of a drawing: another one that is as likely */
  private timeConstant({ timeConstant, uncertainty, id }: NodeOverSpan, which: Which): number {
    if (which === null) return timeConstant
    const place = this.machine.nodes.findIndex(node => node.id === id)
    // spread evenly over the distribution, in another order for each node
    const part = (((which * 7 + place * 5 + 3) % 24) + 0.5) / 24
    return timeConstant * Math.exp(Math.min(uncertainty, 0.5) * normalQuantile(part))
  }
}

/** What a coolant did by itself and its machine's work: its course, less what it follows of the air, about its mean. */
const ownCourse = (temperature: Float64Array, followed: Float64Array, begin: number): Float64Array => {
  const own = temperature.map((value, i) => value - followed[i]!)
  const middle = meanOf(own, begin)
  return own.map((value, i) => (i < begin || Number.isNaN(value) ? 0 : value - middle))
}
