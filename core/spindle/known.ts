import { z } from 'zod'
import { metres, time } from '../quantities.js'
import type { Machine, SpindleSaid } from '../shop.js'
import { highest } from '../statistics/spread.js'
import type { SpindleModel } from './fit.js'
import { cold, law, partsAfter, spindleOf, steadyAt, total } from './law.js'

const relative = z.number().describe('relative, standard')
export const knownSpindle = z.object({
  law,
  misfit: metres.describe('m, standard; what the law does not describe'),
  growth: relative.describe('relative, standard; of growth'),
  timeConstant: relative.describe('relative, standard; of the slow time constant'),
  testedAt: time.nullable().describe('ms since 1970 UTC; of the test it comes from; null: the shop file states it'),
})
/** What is known of a spindle, for following it live: its law, and how sure that is. */
export type KnownSpindle = z.infer<typeof knownSpindle>

/** relative; more would be no knowledge at all: growth between nothing and twice as much */
const most = 1
const within = (relative: number) => (Number.isFinite(relative) ? Math.min(most, relative) : most)

/** What a growth test tells, for following the spindle live. @param at ms; when the test began */
export const knownByTest = ({ law: found, misfit, steady }: SpindleModel, at: number): KnownSpindle => {
  const slow = steady.map(({ heating }) => heating.at(-1)!)
  return {
    law: found,
    misfit,
    // the worst of the speeds, for which of them a job runs is not known to the percent
    growth: within(highest(steady.map(({ standardError, growth }) => standardError / Math.abs(growth)))),
    timeConstant: within(highest(slow.map(({ standardError, seconds }) => standardError / seconds))),
    testedAt: at,
  }
}

/** The same as the shop file states it. @returns null where it states no growth */
export const knownAsStated = ({ stated, workSpeed }: SpindleSaid): KnownSpindle | null =>
  stated && workSpeed !== undefined
    ? {
        law: {
          speeds: [workSpeed],
          steady: [stated.growth],
          shares: [1],
          variation: 'alike',
          logs: [Math.log(stated.timeConstant)],
        },
        misfit: 0,
        growth: stated.growthUncertainty,
        timeConstant: stated.timeConstantUncertainty,
        testedAt: null,
      }
    : null

/** The axis that a machine's spindle moves, and which way: Z, or the last one, where the shop file does not say. */
export const movedAxis = ({
  axes,
  spindle,
}: Pick<Machine, 'axes' | 'spindle'>): Pick<SpindleSaid, 'axis' | 'sign' | 'workSpeed'> =>
  spindle ?? { axis: (axes.find(({ id }) => id === 'Z') ?? axes.at(-1)!).id, sign: -1 }

/** What a spindle is known to do now. */
export interface SpindleNow {
  /** m; growth of each part */
  parts: readonly number[]
  /** 1/s */
  speed: number
  /** m, standard; of growth now, because it was not followed from its cold state */
  unsure: number
}

/** Growth of a spindle as far as the thermal error of a job depends on it. */
export interface SpindleOutlook {
  axis: string
  sign: 1 | -1
  /** 1/s; what the job is taken to run it at */
  speed: number
  /** its speed arrives: its growth now is computed from it; otherwise whatever it may be counts */
  isLive: boolean
  /** nothing that was tested or stated reaches so far */
  isBeyond: boolean
  testedAt: number | null
  /** m; what growth may be `after` s into a job that begins `ahead` s from now: each of the courses that count */
  courses: readonly ((ahead: number, after: number) => number)[]
  /** m; what growth may have been at the machine's zero; null where the job's start is the zero */
  zeros: readonly number[] | null
  /** m, standard; of a change of growth by so much (m) */
  uncertainty(change: number): number
  /** growth `ahead` s from now if the spindle goes on as it turns now, m, and its standard uncertainty; null where its speed is not known */
  held: ((ahead: number) => { growth: number; standardUncertainty: number }) | null
}

interface Circumstances {
  said: Pick<SpindleSaid, 'axis' | 'sign'>
  /** 1/s; what the job runs at; the highest tested speed where nobody says */
  speed: number | undefined
  /** null where its speed does not arrive */
  now: SpindleNow | null
  /** m; growth at the machine's zero; undefined: not known; null: the job's start is the zero */
  zero: number | null | undefined
}

/** a change that goes e^(−t/τ) depends on ln τ by (t/τ)·e^(−t/τ), at most 1/e of it */
const mostByTimeConstant = 1 / Math.E

/**
 * How a spindle's growth enters a job. Where its speed arrives it starts from its growth now, and the job either leaves it
 * at its speed or runs it at the job's; where it does not, it may be cold and warm up to the job's speed, or warm from it
 * and cool down.
 */
export const spindleOutlook = (known: KnownSpindle, { said, speed, now, zero }: Circumstances): SpindleOutlook => {
  const spindle = spindleOf(known.law)
  const fastest = known.law.speeds.at(-1)!
  const job = speed ?? fastest
  const warm = steadyAt(spindle, job)
  const after = (state: readonly number[], at: number, seconds: number) =>
    total(partsAfter(spindle, state, at, seconds))
  const courses = now
    ? [...new Set([now.speed, job])].map(
        at => (ahead: number, seconds: number) => after(partsAfter(spindle, now.parts, now.speed, ahead), at, seconds),
      )
    : [
        (_: number, seconds: number) => after(cold(spindle), job, seconds),
        (_: number, seconds: number) => after(warm, 0, seconds),
      ]
  const byTimeConstant = mostByTimeConstant * known.timeConstant * Math.abs(total(warm))
  return {
    axis: said.axis,
    sign: said.sign,
    speed: job,
    isLive: now !== null,
    isBeyond: job > fastest,
    testedAt: known.testedAt,
    courses,
    zeros: zero === null ? null : zero === undefined ? [0, total(warm)] : [zero],
    uncertainty: change =>
      Math.hypot(known.misfit, known.growth * change, Math.min(byTimeConstant, Math.abs(change)), now?.unsure ?? 0),
    held:
      now &&
      (ahead => {
        const growth = after(now.parts, now.speed, ahead)
        const standardUncertainty = Math.hypot(known.misfit, known.growth * growth, now.unsure)
        return { growth, standardUncertainty }
      }),
  }
}

/** The same outlook `ahead` s later. */
export const spindleAhead = (outlook: SpindleOutlook, ahead: number): SpindleOutlook => {
  const { courses, held } = outlook
  return {
    ...outlook,
    courses: courses.map(course => (later, after) => course(ahead + later, after)),
    held: held && (later => held(ahead + later)),
  }
}

/** Follows a spindle's growth by its speed, as readings of it arrive. */
export class SpindleFollower {
  private state: SpindleNow | null = null
  private at = 0

  constructor(readonly known: KnownSpindle) {}

  /** @param at ms, rising @param speed 1/s */
  take(at: number, speed: number): void {
    const before = this.now(at)
    const { law: known } = this.known
    const most = steadyAt(spindleOf(known), known.speeds.at(-1)!)
    this.state = before
      ? { ...before, speed }
      : // what it did before is not known: half of what it may have been, as of a rectangular distribution
        { parts: most.map(x => x / 2), speed, unsure: Math.abs(total(most)) / Math.sqrt(12) }
    this.at = Math.max(this.at, at)
  }

  /** @param at ms @returns null before its speed was ever told */
  now(at: number): SpindleNow | null {
    if (!this.state) return null
    const seconds = Math.max(0, at - this.at) / 1000
    const spindle = spindleOf(this.known.law)
    const { parts, speed, unsure } = this.state
    const slow = spindle.timeConstant(spindle.parts - 1, speed, false)
    return { parts: partsAfter(spindle, parts, speed, seconds), speed, unsure: unsure * Math.exp(-seconds / slow) }
  }
}
