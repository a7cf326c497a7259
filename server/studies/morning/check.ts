import type { HeatingAnswer } from '../../../core/heating/index.js'
import { firstThings, type MorningCheck, todosOf } from '../../../core/morning/index.js'
import type { Monitor } from '../../monitor/index.js'
import { dayOf } from './day.js'
import type { AnswerParts, JobAnswers } from './job-answers.js'
import type { Kept } from './kept.js'
import { machineMornings } from './machines.js'
import type { NightStudy } from './night.js'
import { sensorsToMind } from './sensors.js'
import { spindleWarmUps } from './spindle-warm-ups.js'

interface MorningParts extends AnswerParts {
  monitor: AnswerParts['monitor'] & Pick<Monitor, 'machines' | 'sensors'>
  jobAnswers: Pick<JobAnswers, 'today'>
  night: Pick<Kept<NightStudy>, 'now'>
  heating: Pick<Kept<HeatingAnswer>, 'now'>
}

/**
 * The morning check as it is now: the day's jobs with their answers, the machines, the night, and what to do first.
 *
 * @param patience ms; how long a night that is not computed yet is waited for; as a page waits if not given
 */
export const morningCheckOf = async (parts: MorningParts, patience?: number): Promise<MorningCheck> => {
  const { shop, clock, jobAnswers } = parts
  const [study, heating] = await Promise.all([parts.night.now(patience), parts.heating.now(patience)])
  const jobs = await jobAnswers.today()
  const machines = await machineMornings(parts, study)
  const warmUps = await spindleWarmUps(parts.store, jobs, clock())
  const sensors = sensorsToMind(parts, study?.gaps ?? [])
  const night = study?.night ?? null
  return {
    at: clock(),
    day: dayOf(clock(), shop.timeZone),
    todo: firstThings(todosOf(jobs), { machines, sensors, night, shop, warmUps }),
    jobs,
    machines,
    night,
    nightAwaited: study === null,
    heating,
    sensors,
  }
}
