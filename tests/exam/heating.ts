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

/** min after the goal: to see since when a machine is fit that stays so */
const aboutGoal = [-90, -60, -40, -30, -20, -10, 0, 10, 20, 30, 40, 60]

/** ms → whether heating and cooling keep what they keep by day; null: by the working hours */
export type Heated = (time: number) => boolean | null

/** The advice of an evening for a machine and a class, beside what came of following it. */
export interface HeatingRecord {
  state: MachineHeating['state']
  /** min before the goal that the heating is to come on; null: no such time is stated */
  ahead: number | null
  /** what jobs begun about the goal have of their share when the heating comes on as stated, and when to be safe */
  ratios: Ratios | null
  safe: Ratios | null
  /** what they have when it comes on only at the goal */
  unheated: Ratios | null
}

/** Of jobs begun so many min after the goal, rising: true error ÷ what is granted. */
export type Ratios = { after: number; ratio: number }[]

/**
 * Since when jobs are within their share that then stay so as long as it is looked.
 *
 * @returns min after the goal, between two looks linear; −Infinity: since before the first look; null: not at the last one
 */
export const fitSince = (of: Ratios): number | null => {
  const last = of.findLastIndex(({ ratio }) => ratio > 1)
  if (last < 0) return Number.NEGATIVE_INFINITY
  const [over, within] = [of[last]!, of[last + 1]]
  if (!within) return null
  return over.after + ((over.ratio - 1) / (over.ratio - within.ratio)) * (within.after - over.after)
}

/** Heating that comes on at a moment in the night before a goal, once it has been set back, and then works by the working hours. */
export const heatedFrom = (on: number, midnight: number, goal: number): Heated => {
  return time => {
    if (time < on) return time < midnight ? null : false
    return time < goal ? true : null
  }
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
    const ratiosOf = (on: number, machine: string, workClass: WorkClass): Ratios => {
      const run = runs.get(on) ?? this.heatedOn(on, midnight, goal)
      runs.set(on, run)
      return run.looks
        .get(machine)!
        .map((look, i) => ({ after: aboutGoal[i]!, ratio: begunRatio(shop, run.twin, look, workClass) }))
    }
    const records: HeatingRecord[] = []
    for (const workClass of classes) {
      const advice = await heatingStarts({ shop, monitor }, shop.machines, workClass, setbacks, now, goal)
      for (const { machine, state, start } of advice) {
        const isStated = start !== null && (state === 'start' || state === 'any time')
        const ratiosWith = (on: number) => (isStated ? ratiosOf(on, machine, workClass) : null)
        records.push({
          state,
          ahead: isStated ? (goal - start.likely) / minute : null,
          ratios: ratiosWith(start?.likely ?? goal),
          safe: ratiosWith(start?.earliest ?? goal),
          unheated: ratiosWith(goal),
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
    for (const after of aboutGoal) {
      twin.advance(goal + after * minute, nothing, never)
      for (const [machine, of] of looks) of.push(lookAt(twin, machine))
    }
    const longest = Math.max(...this.classes.map(({ duration }) => duration))
    twin.advance(twin.time() + longest * 1000 + minute, nothing, never)
    return { twin, looks }
  }
}
