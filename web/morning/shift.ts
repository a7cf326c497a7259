import type { JobAnswer, MorningCheck, PlannedJob } from '../../core/morning/index.js'

/** A stretch of time, ms since 1970. */
export interface Stretch {
  from: number
  to: number
}

const hour = 3_600_000

/** The day that the strips of all jobs are drawn over: from the hour before the first of now and the plan, to the end of the last. */
export const shiftOf = ({ at, jobs }: Pick<MorningCheck, 'at' | 'jobs'>): Stretch => {
  const starts = [at]
  const ends = [at + 4 * hour]
  for (const { job, answer } of jobs) {
    starts.push(job.start)
    ends.push((answer.start ?? job.start) + job.duration * 1000, job.start + job.duration * 1000)
    for (const { fit, afterChange } of answer.windows) for (const { to } of [...fit, ...afterChange]) ends.push(to)
  }
  const most = at + 24 * hour
  const from = Math.max(
    at - 12 * hour,
    starts.reduce((a, b) => Math.min(a, b)),
  )
  const to = Math.min(
    most,
    ends.reduce((a, b) => Math.max(a, b)),
  )
  return { from: Math.floor(from / (hour / 2)) * (hour / 2), to }
}

/** @returns where a moment lies in a stretch, 0..1, held at its ends */
export const positionIn = ({ from, to }: Stretch, moment: number): number =>
  Math.min(1, Math.max(0, (moment - from) / (to - from)))

/** A time in which a job could be begun: its left edge slopes where the beginning is known as an interval only. */
export interface Opening extends Stretch {
  /** ms; where the slope begins */
  earliest: number
}

/** a beginning this far from the interval of a ready time is another one's */
const belongs = 5 * 60_000

/** The windows of one machine as they are drawn. @param ready of this machine; null where nothing is waited for */
export const openings = (fit: readonly Stretch[], ready: JobAnswer['ready']): Opening[] =>
  fit.map(({ from, to }) => {
    const sloped = ready !== null && from >= ready.earliest - belongs && from <= ready.latest + belongs
    return {
      from: sloped ? Math.max(from, ready.latest) : from,
      to,
      earliest: sloped ? Math.min(from, ready.earliest) : from,
    }
  })

/** How a job lies in the day: as planned, and as advised where that differs. */
interface Bars {
  /** planned and not advised; null where it is done as planned */
  planned: Stretch | null
  /** advised; null where no time can be named */
  advised: Stretch | null
  /** the advice holds only once the change is made */
  onlyAfterChange: boolean
}

export const barsOf = (job: PlannedJob, answer: JobAnswer): Bars => {
  const length = job.duration * 1000
  const planned = { from: job.start, to: job.start + length }
  const advised = answer.start === null ? null : { from: answer.start, to: answer.start + length }
  const asPlanned =
    advised !== null && Math.abs(advised.from - planned.from) < 60_000 && answer.machine === job.machines[0]
  const onlyAfterChange = answer.answer === 'go once zeroed' || answer.answer === 'not today'
  return { planned: asPlanned ? null : planned, advised, onlyAfterChange }
}
