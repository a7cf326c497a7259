import type { Outcome } from './options.js'

/**
 * The settings of a command, if they can be used. Otherwise says on the terminal what there is to say: the help, or what
 * is wrong, and then the command ends with exit code 2.
 */
export const usable = <Settings>(outcome: Outcome<Settings>): Settings | null => {
  if (outcome.kind === 'settings') return outcome.settings
  if (outcome.kind === 'help') process.stdout.write(outcome.text)
  else {
    process.stderr.write(`${outcome.problems.join('\n')}\n`)
    process.exitCode = 2
  }
  return null
}
