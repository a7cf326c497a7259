import { bestOf } from '../../core/judge/index.js'
import type { Machine, Shop, WorkClass } from '../../core/shop.js'
import type { MachineState, Remedy } from '../../core/state.js'

/** Whether work of one machine can be thought of on another: the same kind and the same axes, each long enough for the feature. */
const couldTake = (from: Machine, to: Machine, { featureLength }: WorkClass): boolean =>
  from.kind === to.kind &&
  from.axes.length === to.axes.length &&
  from.axes.every(({ id, readsDiameter = false, travel }) => {
    const other = to.axes.find(axis => axis.id === id)
    return other && (other.readsDiameter ?? false) === readsDiameter && other.travel >= Math.min(featureLength, travel)
  })

/** The machine that is fit for a class with the most to spare, of those that could take the work of another. */
const fittest = (shop: Shop, from: Machine, workClass: WorkClass, states: ReadonlyMap<string, MachineState>) => {
  let found: { machine: Machine; index: number } | null = null
  for (const machine of shop.machines) {
    const state = states.get(machine.id)?.classes.find(c => c.workClass === workClass.id)
    if (machine.id === from.id || state?.verdict !== 'fit' || !couldTake(from, machine, workClass)) continue
    const index = state.thermalErrorIndex ?? Number.POSITIVE_INFINITY
    if (!found || index < found.index) found = { machine, index }
  }
  return found?.machine
}

/**
 * A machine's state with another machine named where taking the work there is the better remedy.
 *
 * @param states of all machines, each by itself
 */
export const withMoves = (shop: Shop, state: MachineState, states: ReadonlyMap<string, MachineState>): MachineState => {
  const from = shop.machines.find(({ id }) => id === state.machine)!
  const classes = state.classes.map(of => {
    // a sensor that tells nothing is looked after where it is
    if (of.verdict === 'fit' || of.remedy?.kind === 'sensor') return of
    const other = fittest(shop, from, shop.workClasses.find(({ id }) => id === of.workClass)!, states)
    if (!other) return of
    const move: Remedy = { kind: 'move', machine: other.id, name: other.name }
    return { ...of, remedy: bestOf(of.remedy ? [of.remedy, move] : [move], state.at) }
  })
  return { ...state, classes }
}

/** Whether two remedies send the work to the same machine, or neither does. */
export const sameMove = (a: Remedy | null, b: Remedy | null): boolean =>
  (a?.kind === 'move' ? a.machine : '') === (b?.kind === 'move' ? b.machine : '')
