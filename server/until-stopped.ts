/** ms; a stop that takes longer is given up */
const longestStop = 15_000
/** ms; a signal so soon after the first is the same Ctrl-C: npm passes on what the terminal has sent already */
const sameAsking = 500

/**
 * Lets the process run until it is asked to end (Ctrl-C, or a signal of the system), then stops it: once asked, cleanly;
 * asked again, at once. Ends the process with 0 after a clean stop, 1 after one that failed, 130 after one cut short.
 *
 * @param say tells a person, or the log, how it goes
 * @param onHangUp what SIGHUP means, when it is not to end
 */
export const untilStopped = (stop: () => Promise<void>, say: (text: string) => void, onHangUp?: () => void): void => {
  let asked = 0
  const end = (signal: NodeJS.Signals) => {
    if (asked > 0 && Date.now() - asked < sameAsking) return
    if (asked > 0) process.exit(130)
    asked = Date.now()
    say(`${signal}: stopping; once more ends it at once`)
    const late = setTimeout(() => {
      say(`Not stopped within ${longestStop / 1000} s, so it ends now. What was acknowledged is stored.`)
      process.exit(1)
    }, longestStop).unref()
    const stopped = stop().finally(() => clearTimeout(late))
    stopped.then(
      () => {
        say('stopped')
        process.exit(0)
      },
      error => {
        say(`Stopping failed: ${error instanceof Error ? error.message : String(error)}`)
        process.exit(1)
      },
    )
  }
  for (const signal of ['SIGINT', 'SIGTERM'] as const) process.on(signal, end)
  process.on('SIGHUP', onHangUp ?? end)
}
