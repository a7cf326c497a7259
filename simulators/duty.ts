import type { LocalTime } from './calendar.js'
import type { DutyPlant } from './plant.js'
import { type Random, randomStream } from './random.js'

/** How hard a machine works, 0..1 each, as running means over some ten minutes. */
export interface Duty {
  spindle: number
  motion: number
  /** part of the travel by which the nuts move about another place than the usual one */
  nutAt?: number
  /** part of the way to the outdoor temperature that a part just put on the machine is still off; only as it is put on */
  brought?: number
}

/** One job of a machine: its hours by the shop's clock, and how hard it works. */
export interface Job extends Duty {
  from: number
  to: number
}

/** s; a job's pace builds up and runs out over this time */
const PACE = 300

/** Part of a change of pace that is still to come after so many s. */
export const paceLeft = (elapsed: number): number => Math.exp(-elapsed / PACE)

/** What becomes of a planned job where nothing goes by plan: broken off, light or heavy, elsewhere on the table. */
const irregularly = (job: Job, plant: NonNullable<DutyPlant['irregular']>, random: Random): Job => {
  const weight = random.uniform() < plant.light ? random.between(0.1, 0.5) : 1
  const isBrokenOff = random.uniform() < plant.brokenOff
  const length = (job.to - job.from) * (isBrokenOff ? random.between(0.1, 0.7) : 1)
  const isBrought = random.uniform() < plant.brought.chance
  return {
    from: job.from,
    to: job.from + length,
    spindle: job.spindle * weight,
    motion: job.motion * weight,
    nutAt: plant.nutWander * random.between(-1, 1),
    brought: isBrought ? random.between(...plant.brought.off) : 0,
  }
}

/** The jobs of one local day: filled shift by shift, with a pause at midday; each day is drawn afresh from the seed. */
const jobsOfDay = (plant: DutyPlant, seed: number, machine: string, day: number, weekday: number): Job[] => {
  const random = randomStream(seed, `duty/${machine}/${day}`)
  const jobs: Job[] = []
  for (const shift of plant.shifts) {
    if (!shift.weekdays.includes(weekday)) continue
    const end = shift.to - random.between(0, 0.4)
    let hour = shift.from + random.between(0, 0.4)
    while (hour < end) {
      const to = Math.min(end, hour + random.between(plant.job[0], plant.job[1]))
      const level = random.between(0.6, 1.3)
      const job = {
        from: hour,
        to,
        spindle: Math.min(1, plant.spindle * level),
        motion: Math.min(1, plant.motion * level),
      }
      jobs.push(plant.irregular ? irregularly(job, plant.irregular, random) : job)
      hour = to + random.between(0.1, 0.35)
      if (plant.irregular && random.uniform() < plant.irregular.idle) hour += random.between(0.3, 3)
      if (hour > 11.7 && hour < 12.3) hour += 0.4
    }
  }
  return jobs
}

/**
 * The work of one machine.
 *
 * @param override what a scenario has it do instead, or null for its own schedule; asked at each step
 */
export const createDuty = (
  plant: DutyPlant,
  seed: number,
  machine: string,
  override: (time: number) => Duty | null,
) => {
  const duty: Duty = { spindle: 0, motion: 0, nutAt: 0, brought: 0 }
  let day = Number.NaN
  let jobs: Job[] = []
  let job: Job | null = null

  /** @param h s since the last call */
  const step = (time: number, local: LocalTime, h: number): Duty => {
    if (local.day !== day) {
      day = local.day
      jobs = jobsOfDay(plant, seed, machine, day, local.weekday)
    }
    const before = job
    job = jobs.find(job => local.hour >= job.from && local.hour < job.to) ?? null
    duty.nutAt = job?.nutAt ?? duty.nutAt
    duty.brought = job !== before ? job?.brought : 0
    const asked = override(time) ?? job
    const pace = 1 - paceLeft(h)
    duty.spindle += ((asked?.spindle ?? 0) - duty.spindle) * pace
    duty.motion += ((asked?.motion ?? 0) - duty.motion) * pace
    return duty
  }
  return {
    step,
    /** the job of its own schedule that runs now; null between two jobs */
    job: (): Job | null => job,
  }
}
