import { DateTime } from 'luxon'
import {
  fitOnceHeated,
  type HeatingAnswer,
  type HeatingQuestion,
  heatingStart,
  learnedAir,
  type MachineHeating,
  type Setback,
  usualTime,
  waitingAfter,
} from '../../../core/heating/index.js'
import type { Machine, Shop, WorkClass } from '../../../core/shop.js'
import { limitOf } from '../../monitor/class-watch.js'
import type { Monitor } from '../../monitor/monitor.js'
import { inTurns } from '../../turns.js'
import { shiftsAbout } from '../morning/shifts.js'

const day = 86_400_000

const sinceMidnight = (at: number, zone: string): number => {
  const local = DateTime.fromMillis(at, { zone })
  return local.hour * 3600 + local.minute * 60 + local.second
}

/** By the wall clock, on the day that another time lies in. */
const onDayOf = (at: number, seconds: number, zone: string): number =>
  DateTime.fromMillis(at, { zone })
    .startOf('day')
    .set({ hour: Math.floor(seconds / 3600), minute: Math.floor((seconds % 3600) / 60) })
    .toMillis()

/** When the heating is set back next before the goal, and usually comes again for it; ms. */
const usualTimes = (shop: Shop, setbacks: readonly Setback[], goal: number) => {
  const zone = shop.timeZone
  const back = usualTime(setbacks.map(each => sinceMidnight(each.back.at, zone)))
  const away = usualTime(setbacks.flatMap(each => (each.away ? [sinceMidnight(each.away.at, zone)] : [])))
  const lastShift = shiftsAbout(shop, goal).findLast(({ to }) => to < goal)
  const usual = back === null ? null : onDayOf(goal, back, zone)
  const evening = away === null || !lastShift ? null : onDayOf(lastShift.to - 1, away, zone)
  return {
    usual: usual !== null && usual < goal ? usual : null,
    setBack: evening !== null && evening < goal ? evening : null,
  }
}

const nothing = {
  start: null,
  setBack: null,
  usual: null,
  waiting: null,
  degreeHours: null,
  air: null,
  reason: null,
} satisfies Partial<MachineHeating>

/** When the heating must come on so that one machine is fit for a class by a goal (ms). */
const ofMachine = async (
  shop: Shop,
  monitor: Pick<Monitor, 'circumstances'>,
  machine: Machine,
  workClass: WorkClass,
  setbacks: readonly Setback[],
  now: number,
  goal: number,
): Promise<MachineHeating> => {
  const seen = { ...nothing, machine: machine.id, setbacks: setbacks.length }
  const { outlook, unknowns } = monitor.circumstances(machine.id, workClass)
  if (!outlook || unknowns[0]) return { ...seen, state: 'unknown', reason: unknowns[0] ?? null }
  const { usual, setBack } = usualTimes(shop, setbacks, goal)
  const learned = learnedAir(setbacks, (usual ?? goal) - (setBack ?? now))
  if (!learned || setBack === null)
    return { ...seen, state: setbacks.length === 0 ? 'not set back' : 'seen too seldom' }
  const ahead = (at: number) => (at - now) / 1000
  const isBack = setbacks.some(({ back }) => back.at > setBack && back.at <= now)
  const question: HeatingQuestion = {
    outlook,
    workClass,
    limit: limitOf(workClass),
    goal: ahead(goal),
    setBack: isBack ? null : ahead(setBack),
    learned,
  }
  const { start, degreeHours } = await inTurns(heatingStart(question))
  const at = (seconds: number) => now + seconds * 1000
  const minute = (ms: number) => Math.round(ms / 60_000) * 60_000
  const stateOf = (): MachineHeating['state'] => {
    if (!fitOnceHeated(question)) return 'not by heating'
    if (start === null) return 'too late'
    return start.earliest >= question.goal ? 'any time' : 'start'
  }
  return {
    ...seen,
    state: stateOf(),
    start: start && {
      earliest: minute(at(start.earliest)),
      likely: minute(at(start.likely)),
      latest: minute(at(start.latest)),
    },
    setBack: isBack ? null : minute(setBack),
    usual,
    // where it should have come by now, and has not, or did: as if it came now
    waiting: usual === null ? null : waitingAfter(question, Math.max(ahead(usual), 0)),
    degreeHours,
    air: { set: learned.back.to.value, setBack: learned.away.to.value },
  }
}

const needs = ({ state, start }: MachineHeating): number =>
  state === 'too late' ? 0 : state === 'start' ? start!.likely : Number.POSITIVE_INFINITY

/**
 * When the heating must come on so that machines are fit for a class by a goal: in slices, for readings come in meanwhile.
 *
 * @param setbacks of each machine, by id
 * @param goal ms
 */
export const heatingStarts = async (
  { shop, monitor }: { shop: Shop; monitor: Pick<Monitor, 'circumstances'> },
  machines: readonly Machine[],
  workClass: WorkClass,
  setbacks: ReadonlyMap<string, readonly Setback[]>,
  now: number,
  goal: number,
): Promise<MachineHeating[]> => {
  const all: MachineHeating[] = []
  for (const machine of machines)
    all.push(await ofMachine(shop, monitor, machine, workClass, setbacks.get(machine.id) ?? [], now, goal))
  return all.sort((a, b) => needs(a) - needs(b))
}

/** ms; forecasts reach no further */
export const furthestGoal = 72 * 3_600_000

/** When shifts begin that can be asked for, ms. */
const shiftsAhead = (shop: Shop, now: number): number[] =>
  shiftsAbout(shop, now).flatMap(({ from }) => (from > now && from <= now + furthestGoal ? [from] : []))

/** The work class that heat is granted least by. @throws Error when the shop has none */
export const finestClass = ({ workClasses }: Shop): WorkClass => {
  const [finest] = [...workClasses].sort((a, b) => a.tolerance * a.share - b.tolerance * b.share)
  if (!finest) throw new Error('the shop file states no work class')
  return finest
}

/**
 * When the heating must come on, as it is answered: for all machines and the next shift where nothing else is asked for.
 *
 * @param setbacksOf what the past shows of a machine's air
 * @param now ms
 * @param goal ms
 */
export const heatingFor = async (
  parts: { shop: Shop; monitor: Pick<Monitor, 'circumstances'> },
  workClass: WorkClass,
  setbacksOf: (machine: Machine) => Promise<Setback[]>,
  now: number,
  { machines = parts.shop.machines, goal }: { machines?: readonly Machine[]; goal?: number } = {},
): Promise<HeatingAnswer> => {
  const shifts = shiftsAhead(parts.shop, now)
  const by = goal ?? shifts[0] ?? now + day
  const setbacks = new Map<string, Setback[]>()
  for (const machine of machines) setbacks.set(machine.id, await setbacksOf(machine))
  const found = await heatingStarts(parts, machines, workClass, setbacks, now, by)
  return { at: now, goal: by, shifts, workClass: workClass.id, machines: found }
}
