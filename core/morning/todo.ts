import type { JobAnswer } from './answer.js'
import type { Todo } from './check.js'
import type { PlannedJob } from './planned-job.js'

/** A planned job and what is answered for it. */
export interface AnsweredJob {
  job: PlannedJob
  answer: JobAnswer
}

/** ms; when a job could be begun with the change made; null: not told */
const startAfter = ({ change }: JobAnswer): number | null => (change && 'leaves' in change ? change.leaves.fitBy : null)

/** what a change would make of an answer; null where it would change nothing */
const afterChange = (of: JobAnswer): Todo['jobs'][number]['after'] | null => {
  if (of.answer === 'cannot tell') return 'wait'
  return of.answer !== 'go' && startAfter(of) !== null ? 'go' : null
}

const keyOf = ({ machine, change }: JobAnswer): string => {
  if (change?.kind === 'shut') return `shut ${change.source}`
  if (change?.kind === 'soak') return 'soak'
  if (change?.kind === 'sensor') return `sensor ${machine} ${change.missing.node}`
  return `${change?.kind} ${machine}`
}

/** one thing is done for all jobs that it helps; the parts that soak are one line too */
const aboutOf = (answers: readonly JobAnswer[]): Todo['about'] => {
  const [{ machine, change, reasons }] = answers as [JobAnswer]
  if (change?.kind === 'soak')
    return {
      kind: 'soak',
      jobs: answers.map(({ job }) => job),
      until: Math.max(...answers.map(each => each.start ?? each.at)),
    }
  return { kind: 'remedy', machine, remedy: change!, reason: reasons[0] ?? null }
}

/**
 * What to do first for the jobs of the day: one line for each change that would make a job's answer better, those first
 * that help the most jobs, and of equals those that are needed first.
 */
export const todosOf = (answered: readonly AnsweredJob[]): Todo[] => {
  const groups = new Map<string, AnsweredJob[]>()
  for (const each of answered) {
    if (!each.answer.change || each.answer.change.kind === 'move' || afterChange(each.answer) === null) continue
    const key = keyOf(each.answer)
    groups.set(key, [...(groups.get(key) ?? []), each])
  }
  const todos = [...groups.values()].map((group): Todo & { first: number } => {
    const first = Math.min(...group.map(({ job }) => job.start))
    const answers = group.map(({ answer }) => answer)
    const about = aboutOf(answers)
    const isNow = about.kind === 'remedy' && (about.remedy.kind === 'shut' || about.remedy.kind === 'sensor')
    return {
      first,
      by: about.kind === 'soak' ? about.until : isNow ? null : first,
      about,
      jobs: answers.map(answer => ({
        job: answer.job,
        before: answer.answer,
        after: afterChange(answer)!,
        start: startAfter(answer),
      })),
    }
  })
  return todos.sort((a, b) => b.jobs.length - a.jobs.length || a.first - b.first).map(({ first: _, ...todo }) => todo)
}
