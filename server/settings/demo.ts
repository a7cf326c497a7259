import { z } from 'zod'
import { file, listeningOptions, listeningSchema, tokenFrom } from './listening.js'
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
  /** a recording to be lived again, instead of an invented history; null: none */
  replay: { recording: string; shop: string; speed: number } | null
}

const schema = z
  .object({
    ...listeningSchema,
    seed: wholeNumber(0, 2 ** 31 - 1),
    days: wholeNumber(1, 60),
    recording: file.optional(),
    shop: file.optional(),
    speed: wholeNumber(1, 600),
  })
  .superRefine(({ recording, shop }, context) => {
    if ((recording === undefined) !== (shop === undefined))
      context.addIssue({
        code: 'custom',
        path: [recording === undefined ? 'recording' : 'shop'],
        message: '--recording and --shop are given together: the recording, and the shop whose sensors it is of',
      })
  })

const demoCommand: Command = {
  call: 'npm run demo --',
  about:
    'Runs the service with an invented shop: its own broker, a database in a folder of its own, and a simulator that\n' +
    'first fills in the days before and then goes on live. Every run begins afresh: what an earlier demo left in the\n' +
    'folder is deleted.',
  options: [
    ...listeningOptions('data/demo', 'warn'),
    { name: 'days', value: 'N', otherwise: '14', about: 'days of invented history' },
    { name: 'seed', value: 'N', otherwise: '1', about: 'the same seed gives the same shop' },
    {
      name: 'recording',
      value: 'FILE',
      about: 'a recording (CSV) to be lived again instead of the invented shop; with --shop',
    },
    { name: 'shop', value: 'FILE', about: 'the shop file of the recording’s sensors' },
    { name: 'speed', value: 'N', otherwise: '60', about: 'times as fast as it was recorded, 1 to 600' },
  ],
}

/** @param argv without the program's own name */
export const readDemoSettings = (argv: readonly string[], environment: Environment): Outcome<DemoSettings> => {
  const outcome = readSettings(demoCommand, schema, argv, environment)
  if (outcome.kind === 'help') return outcome
  const { token, problems } = tokenFrom(environment)
  if (outcome.kind === 'problems') return { kind: 'problems', problems: [...problems, ...outcome.problems] }
  if (problems.length > 0) return { kind: 'problems', problems }
  const { recording, shop, speed, ...settings } = outcome.settings
  const replay = recording === undefined || shop === undefined ? null : { recording, shop, speed }
  return { kind: 'settings', settings: { ...settings, replay, token } }
}
