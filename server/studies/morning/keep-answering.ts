import type { Logger } from '../../log.js'
import type { Monitor } from '../../monitor/index.js'
import { keptUpToDate } from '../../up-to-date.js'
import type { JobAnswers } from './job-answers.js'

/** ms; answers stay current whether or not anybody looks */
const every = 60_000
/** ms; a verdict or a sensor that changed may change answers, and others may follow in a moment */
const gather = 2_000

/**
 * Gives the day's answers anew every minute, and soon after a verdict or what is believed of a sensor has changed.
 *
 * @param ready false while a history is filled in
 * @returns ends it
 */
export const keepAnswering = (
  answers: Pick<JobAnswers, 'answer'>,
  monitor: Pick<Monitor, 'onChange'>,
  ready: () => boolean,
  log: Pick<Logger, 'error'>,
): (() => Promise<void>) => {
  const upToDate = keptUpToDate(
    { every },
    ready,
    () => answers.answer(),
    error => log.error({ err: error }, 'planned jobs could not be answered'),
  )
  const stopListening = monitor.onChange(({ verdicts, trust }) => {
    if (verdicts.length + trust.length > 0) upToDate.lookIn(gather)
  })
  return async () => {
    stopListening()
    await upToDate.stop()
  }
}
