import { type MorningCheck, todosOf } from '../../../core/morning/index.js'
import { dayOf } from './day.js'
import type { AnswerParts, JobAnswers } from './job-answers.js'

/** lines of what to do first; more are not read in a minute */
const mostTodos = 5

export interface MorningParts extends AnswerParts {
  jobAnswers: Pick<JobAnswers, 'today'>
}

/** The morning check as it is now: the day's jobs with their answers, and what to do first. */
export const morningCheckOf = async ({ shop, clock, jobAnswers }: MorningParts): Promise<MorningCheck> => {
  const jobs = await jobAnswers.today()
  return {
    at: clock(),
    day: dayOf(clock(), shop.timeZone),
    todo: todosOf(jobs).slice(0, mostTodos),
    jobs,
    machines: [],
    night: null,
    sensors: [],
  }
}
