import { DateTime } from 'luxon'
import { type MachineHeating, setbacksIn } from '../../core/heating/index.js'
import type { Shop, WorkClass } from '../../core/shop.js'
import type { Monitor } from '../../server/monitor/index.js'
import { heatingStarts } from '../../server/studies/heating/start.js'
import type { SimulatedShop } from '../../simulators/index.js'
import { begunRatio, type Look, lookAt } from './begun.js'

const minute = 60_000
const hour = 60 * minute
const day = 24 * hour

/** days that the air has been seen before the first evening */
const seen = 5
/** hour by the shop's clock at which is asked, and for which; weekdays of the mornings it is asked for: the costly half */
const askedAt = 18
const goalAt = 7
const goalDays = [1, 3, 5]
/** ms; the air's means are over so much time, as in the service */
const width = 15 * minute

/** min after the goal: to see when a machine that is late is fit, and whether one that is fit stays so */
const afterGoal = [0, 5, 10, 15, 20, 25, 30, 60, 120, 240]
/** min; a start this far off, or a machine this late, is still right */
export const near = 20

/** ms → whether heating and cooling keep what they keep by day; null: by the working hours */
export type Heated = (time: number) => boolean | null

/** The advice of an evening for a machine and a class, beside what came of following it. */
export interface HeatingRecord {
  state: MachineHeating['state']
  /** min before the goal that the heating is to come on; null: no such time is stated */
  ahead: number | null
  /** what the job at the goal, and such jobs after it, have of their share when the heating comes on as stated (any time: at the goal) */
  ratios: { after: number; ratio: number }[] | null
  /**
   * min after the stated start at which the heating could have come on at the latest, to the next 20 min below, for the job at the
   * goal to be within its share: −20 … 60 (or more); null: more than 20 min before it, or never
   */
  latest: number | null
  /** what the job at the goal has of its share when the heating comes on only then: within it, no start was needed */
  unheated: number | null
}

/** Heating that comes on at a moment in the night before a goal, once it has been set back, and then works by the working hours. */
export const heatedFrom = (on: number, midnight: number, goal: number): Heated => {
  return time => {
    if (time < on) return time < midnight ? null : false
    return time < goal ? true : null
  }
}

/**
 * How much later than stated the heating could have come on.
 *
 * @param isFit whether the job at the goal is within its share with the heating on so many minutes after the stated start
 * @returns min: see `HeatingRecord`
 */
export const latestStart = (isFit: (later: number) => boolean): number | null => {
  if (!isFit(0)) return isFit(-near) ? -near : null
  let latest = 0
  while (latest < 3 * near && isFit(latest + near)) latest += near
  return latest
}

/** Asks on evenings when the heating must come on, and lets a twin of the shop do exactly that. */
export class HeatingExam {
  private readonly air = new Map<string, { at: number[]; value: (number | null)[] }>()
  private readonly classes: WorkClass[]
  private begun = { at: Number.NaN, sums: new Map<string, { sum: number; count: number }>() }

  /** @param weekdays on which the shop works, 1 Monday … 7 Sunday */
  constructor(
    private readonly shop: Shop,
    private readonly monitor: Pick<Monitor, 'circumstances' | 'machines'>,
    private readonly weekdays: readonly number[],
    private readonly twin: (heated: Heated) => SimulatedShop,
  ) {
    this.classes = shop.workClasses.filter(({ zeroedAt }) => zeroedAt === 'job start')
  }

  /**
   * To be called every few minutes.
   *
   * @param lived ms since the start
   */
  async look(now: number, lived: number): Promise<HeatingRecord[]> {
    this.follow(now)
    const local = DateTime.fromMillis(now, { zone: this.shop.timeZone })
    if (local.hour !== askedAt || local.minute >= 5 || !this.weekdays.includes(local.weekday)) return []
    let morning = local.startOf('day').plus({ days: 1 })
    while (!this.weekdays.includes(morning.weekday)) morning = morning.plus({ days: 1 })
    if (lived < seen * day || !goalDays.includes(morning.weekday)) return []
    return this.advise(now, morning.toMillis(), morning.set({ hour: goalAt }).toMillis())
  }

  /** The air at each machine as it is believed, in means of a quarter of an hour. */
  private follow(now: number): void {
    const at = Math.floor((now - 1) / width) * width
    const { begun } = this
    if (at !== begun.at) {
      for (const [machine, { sum, count }] of begun.sums) {
        const course = this.air.get(machine) ?? { at: [], value: [] }
        this.air.set(machine, course)
        course.at.push(begun.at + width / 2)
        course.value.push(count > 0 ? sum / count : null)
      }
      this.begun = { at, sums: new Map() }
    }
    for (const state of this.monitor.machines()) {
      const { nodes } = this.shop.machines.find(({ id }) => id === state.machine)!
      const air = state.nodes.find(({ node }) => nodes.find(({ id }) => id === node)?.kind === 'air')
      const mean = this.begun.sums.get(state.machine) ?? { sum: 0, count: 0 }
      this.begun.sums.set(state.machine, mean)
      if (typeof air?.temperature !== 'number') continue
      mean.sum += air.temperature
      mean.count++
    }
  }

  private async advise(now: number, midnight: number, goal: number): Promise<HeatingRecord[]> {
    const { shop, monitor, classes } = this
    const today = DateTime.fromMillis(now, { zone: shop.timeZone }).startOf('day')
    const midnights = Array.from({ length: 28 }, (_, i) => today.minus({ days: 27 - i }).toMillis())
    const setbacks = new Map([...this.air].map(([id, course]) => [id, setbacksIn(course, midnights)]))
    const runs = new Map<number, ReturnType<HeatingExam['heatedOn']>>()
    const ratiosOf = (on: number, machine: string, workClass: WorkClass) => {
      const run = runs.get(on) ?? this.heatedOn(on, midnight, goal)
      runs.set(on, run)
      return run.looks
        .get(machine)!
        .map((look, i) => ({ after: afterGoal[i]!, ratio: begunRatio(shop, run.twin, look, workClass) }))
    }
    const records: HeatingRecord[] = []
    for (const workClass of classes) {
      const advice = await heatingStarts({ shop, monitor }, shop.machines, workClass, setbacks, now, goal)
      for (const { machine, state, start } of advice) {
        if (!start) {
          records.push({ state, ahead: null, ratios: null, latest: null, unheated: null })
          continue
        }
        const ratiosWith = (later: number) => ratiosOf(start.likely + later * minute, machine, workClass)
        records.push({
          state,
          ahead: (goal - start.likely) / minute,
          ratios: ratiosWith(0),
          latest: state === 'start' ? latestStart(later => ratiosWith(later)[0]!.ratio <= 1) : null,
          unheated: ratiosOf(goal, machine, workClass)[0]!.ratio,
        })
      }
    }
    return records
  }

  /** The morning of a twin whose heating comes on at a moment. */
  private heatedOn(on: number, midnight: number, goal: number) {
    const twin = this.twin(heatedFrom(on, midnight, goal))
    const nothing = () => {}
    const never = 1000 * day
    const looks = new Map<string, Look[]>(this.shop.machines.map(({ id }) => [id, []]))
    for (const after of afterGoal) {
      twin.advance(goal + after * minute, nothing, never)
      for (const [machine, of] of looks) of.push(lookAt(twin, machine))
    }
    const longest = Math.max(...this.classes.map(({ duration }) => duration))
    twin.advance(twin.time() + longest * 1000 + minute, nothing, never)
    return { twin, looks }
  }
}
