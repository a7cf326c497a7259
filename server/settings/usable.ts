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

/**
 * Runs a command with its settings, if they can be used. What it fails with is said on the terminal, and ends it with exit
 * code 1.
 */
export const runCommand = async <Settings>(
  outcome: Outcome<Settings>,
  run: (settings: Settings) => Promise<void>,
): Promise<void> => {
  const settings = usable(outcome)
  if (!settings) return
  try {
    await run(settings)
  } catch (error) {
    process.stderr.write(`${error instanceof Error ? error.message : String(error)}\n`)
    process.exitCode = 1
  }
}
