import type { AnsweredJob, Todo } from '../../../core/morning/index.js'
import { firstWarmUp } from '../../../core/spindle/index.js'
import { toolListsOf } from '../../actions/index.js'
import type { Store } from '../../store/store.js'
import { newestFitted, spindleTestsOf } from '../spindle/spindle-tests.js'

/**
 * The spindles that are to be warmed up for jobs of today, as the tool lists of those jobs ask for: when each must begin
 * so that the job can start when it is answered to. Not those of jobs that are not to be begun, and none whose job should
 * have started.
 *
 * @param now ms
 */
export const spindleWarmUps = async (
  store: Pick<Store, 'facts'>,
  answered: readonly AnsweredJob[],
  now: number,
): Promise<Todo[]> => {
  const all = await Promise.all(
    answered.map(async ({ job, answer }): Promise<Todo[]> => {
      const { machine } = answer
      const { start } = answer
      if (job.tools === undefined || start === null || start < now || machine !== job.machines[0]) return []
      const list = (await toolListsOf(store, machine)).find(each => each.list.id === job.tools)?.list
      const fitted = list?.warmUp ? newestFitted(await spindleTestsOf(store, machine)) : null
      const schedule = list && fitted && firstWarmUp(fitted.model.law, list)
      if (!schedule) return []
      return [
        {
          by: start - 1000 * schedule.duration,
          about: {
            kind: 'spindle warm-up',
            machine,
            list: list.id,
            job: job.id,
            duration: schedule.duration,
            speed: list.job.tools[0]!.speed,
          },
          jobs: [],
        },
      ]
    }),
  )
  return all.flat().sort((a, b) => a.by! - b.by!)
}
