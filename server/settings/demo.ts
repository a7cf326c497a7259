import { z } from 'zod'
import { listeningOptions, listeningSchema, tokenFrom } from './listening.js'
import { type Command, type Environment, type Outcome, readSettings, wholeNumber } from './options.js'

export interface DemoSettings {
  host: string
  port: number
  /** absolute path of a folder */
  data: string
  token: string | null
  log: 'debug' | 'info' | 'warn' | 'error'
  seed: number
  /** of history to fill */
  days: number
}

const schema = z.object({ ...listeningSchema, seed: wholeNumber(0, 2 ** 31 - 1), days: wholeNumber(1, 60) })

export const demoCommand: Command = {
  call: 'npm run demo --',
  about:
    'Runs the service with an invented shop: its own broker, a database in a folder of its own, and a simulator that\n' +
    'first fills in the days before and then goes on live. Every run begins afresh: what an earlier demo left in the\n' +
    'folder is deleted.',
  options: [
    ...listeningOptions('data/demo', 'warn'),
    { name: 'days', value: 'N', otherwise: '14', about: 'days of invented history' },
    { name: 'seed', value: 'N', otherwise: '1', about: 'the same seed gives the same shop' },
  ],
}

/** @param argv without the program's own name */
export const readDemoSettings = (argv: readonly string[], environment: Environment): Outcome<DemoSettings> => {
  const outcome = readSettings(demoCommand, schema, argv, environment)
  if (outcome.kind === 'help') return outcome
  const { token, problems } = tokenFrom(environment)
  if (outcome.kind === 'problems') return { kind: 'problems', problems: [...problems, ...outcome.problems] }
  if (problems.length > 0) return { kind: 'problems', problems }
  return { kind: 'settings', settings: { ...outcome.settings, token } }
}
