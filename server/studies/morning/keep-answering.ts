import type { Logger } from '../../log.js'
import type { Monitor } from '../../monitor/index.js'
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
  let running: Promise<void> = Promise.resolve()
  let isRunning = false
  let soon: NodeJS.Timeout | undefined

  const answer = () => {
    if (isRunning || !ready()) return
    isRunning = true
    running = answers
      .answer()
      .catch((error: unknown) => log.error({ err: error }, 'planned jobs could not be answered'))
      .finally(() => {
        isRunning = false
      })
  }
  const timer = setInterval(answer, every)
  timer.unref()
  const stopListening = monitor.onChange(({ verdicts, trust }) => {
    if (verdicts.length + trust.length === 0 || soon) return
    soon = setTimeout(() => {
      soon = undefined
      answer()
    }, gather)
    soon.unref()
  })
  return async () => {
    stopListening()
    clearInterval(timer)
    clearTimeout(soon)
    await running
  }
}
