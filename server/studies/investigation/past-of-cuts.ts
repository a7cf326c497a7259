import { DateTime } from 'luxon'
import type { Machine, Shop } from '../../../core/shop.js'
import type { Past } from '../../history/index.js'
import { type MachinePast, machinePast, stepFor } from './machine-past.js'
import { type MachineZeros, readZeros } from './predicting.js'

const day = 86_400_000

/** The stretch in which parts were cut, in whole days of the shop, with the day before it: the air of then has its effect. */
interface Stretch {
  /** ms */
  from: number
  to: number
  /** ms; the midnight that the first day with a part began with */
  midnight: number
  /** ms */
  step: number
}

export const stretchOf = (first: number, last: number, { timeZone }: Pick<Shop, 'timeZone'>): Stretch => {
  const midnight = DateTime.fromMillis(first, { zone: timeZone }).startOf('day').toMillis()
  const from = midnight - day
  const days = Math.floor((last - midnight) / day) + 1
  const span = { from, to: midnight + days * day }
  return { ...span, midnight, step: stepFor(span) }
}

/** Looks machines up, each once. */
export const pastOfCuts = (past: Past, stretch: Stretch) => {
  const courses = new Map<string, Promise<MachinePast>>()
  const zeros = new Map<string, Promise<MachineZeros>>()
  const once = <T>(known: Map<string, Promise<T>>, id: string, look: () => Promise<T>): Promise<T> => {
    const found = known.get(id) ?? look()
    known.set(id, found)
    return found
  }
  return {
    stretch,
    course: (machine: Machine) => once(courses, machine.id, () => machinePast(past, machine, stretch, stretch.step)),
    zeros: (machine: Machine) => once(zeros, machine.id, () => readZeros(past, machine.id)),
  }
}
export type PastOfCuts = ReturnType<typeof pastOfCuts>
