import type { PlannedJob } from '../../core/morning/index.js'
import type { Store } from '../store/store.js'

/** A job as it stands, and the fact that says so: a change closes that one. */
export interface StandingJob {
  job: PlannedJob
  version: number
}

/**
 * The jobs of a day as they stand, in the order of their start; what was withdrawn is not among them.
 *
 * @param day ISO 8601, in the shop's time zone
 */
export const plannedJobsOf = async ({ facts }: Pick<Store, 'facts'>, day: string): Promise<StandingJob[]> => {
  const [entered, changes] = await Promise.all([
    facts.of('planned job', { subject: day }),
    facts.of('job change', { subject: day }),
  ])
  const standing = new Map(
    entered.map(({ day: _, ...job }): [number, StandingJob] => [job.id, { job, version: job.id }]),
  )
  for (const { id, job, became } of changes) {
    const before = standing.get(job)
    if (!before) continue
    if (became) {
      const { enteredAt, by } = before.job
      standing.set(job, { job: { ...became, id: job, enteredAt, by }, version: id })
    } else standing.delete(job)
  }
  return [...standing.values()].sort((a, b) => a.job.start - b.job.start || a.job.id - b.job.id)
}
