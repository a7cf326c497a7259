import {
  classesMade,
  type Decision,
  finestAtDatum,
  type MachineMorning,
  type Moved,
  movedUncertainty,
  warmUpOf,
  zeroNow,
} from '../../../core/morning/index.js'
import type { Machine, Shop } from '../../../core/shop.js'
import type { MachineState } from '../../../core/state.js'
import type { Monitor } from '../../monitor/index.js'
import type { Store } from '../../store/store.js'
import { dayOf } from './day.js'
import type { NightStudy } from './night.js'

interface MachineParts {
  shop: Shop
  store: Pick<Store, 'facts'>
  monitor: Pick<Monitor, 'machines' | 'circumstances'>
  /** ms */
  clock: () => number
}

/** What was decided for each machine on a day, the last one of it. @param day ISO 8601, in the shop's time zone */
const decisionsOf = async (
  { shop, store }: Pick<MachineParts, 'shop' | 'store'>,
  day: string,
): Promise<Map<string, Decision>> => {
  const newest = await store.facts.newest('decision')
  return new Map(
    newest.filter(({ at }) => dayOf(at, shop.timeZone) === day).map(({ id: _, ...each }) => [each.machine, each]),
  )
}

/** What each axis has moved since the datum; null without one. */
const movedOf = ({ shop, monitor }: MachineParts, machine: Machine): Moved[] => {
  const [any] = shop.workClasses
  const { outlook } = monitor.circumstances(machine.id, { ...any!, zeroedAt: 'datum' })
  const unknown = machine.axes.map(axis => ({ axis, moved: Number.NaN, uncertainty: Number.NaN }))
  if (!outlook?.datum) return unknown
  const now = outlook.nodes.map(({ temperature }) => temperature)
  const then = [...outlook.datum.nodes]
  const placement = outlook.nodes.map(node => node.placement)
  return outlook.loop.axes.map(each => ({
    axis: each.axis,
    moved: each.growthAt(each.axis.workAt, now) - each.growthAt(each.axis.workAt, then),
    uncertainty: movedUncertainty(each, now, then, placement),
  }))
}

const machineOf = (parts: MachineParts, machine: Machine, state: MachineState, study: NightStudy | null) => {
  const { shop, clock } = parts
  const night = study?.machines.find(each => each.machine === machine.id)
  const made = new Set(classesMade(machine, shop.workClasses).map(({ id }) => id))
  return {
    machine: machine.id,
    classes: state.classes
      .filter(({ workClass }) => made.has(workClass))
      .map(({ workClass, verdict, since, ready }) => ({ workClass, verdict, since, ready })),
    night: night?.axes ?? [],
    datum: state.datum && zeroNow(state.datum.at, movedOf(parts, machine), finestAtDatum(machine, shop.workClasses)),
    warmUp: warmUpOf(machine.nodes, state.nodes, night?.heat ?? [], clock()),
  }
}

/** Each machine as it is in the morning: verdicts, its night, its zero, whether it is warm, what was decided for it. */
export const machineMornings = async (parts: MachineParts, study: NightStudy | null): Promise<MachineMorning[]> => {
  const { shop, monitor, clock } = parts
  const decisions = await decisionsOf(parts, dayOf(clock(), shop.timeZone))
  return monitor.machines().flatMap(state => {
    const machine = shop.machines.find(({ id }) => id === state.machine)
    if (!machine) return []
    return { ...machineOf(parts, machine, state, study), decision: decisions.get(machine.id) ?? null }
  })
}
