import { z } from 'zod'
import { file, listeningSchema } from './listening.js'
import { type Command, type Environment, type Outcome, readSettings } from './options.js'

export interface MorningSettings {
  /** of a service that runs, without a stroke at its end */
  url: string
  /** path of the shop file and absolute path of the folder: its database is asked instead; both or neither */
  shop: string | null
  data: string | null
  /** the shop's own when null */
  units: 'metric' | 'inch' | 'tenths' | null
}

const schema = z
  .object({
    url: z
      .string()
      .trim()
      .regex(/^https?:\/\/[^\s/]+/, 'must begin with http:// or https://, as http://127.0.0.1:7420')
      .transform(url => (url.endsWith('/') ? url.slice(0, -1) : url))
      .optional(),
    port: listeningSchema.port,
    shop: file.optional(),
    data: listeningSchema.data.optional(),
    units: z.enum(['metric', 'inch', 'tenths'], 'must be metric, inch or tenths').optional(),
  })
  .superRefine(({ shop, data }, context) => {
    if (data !== undefined && shop === undefined)
      context.addIssue({ code: 'custom', path: ['data'], message: 'needs --shop FILE beside it: the shop’s file' })
    if (shop !== undefined && data === undefined)
      context.addIssue({
        code: 'custom',
        path: ['shop'],
        message: 'needs --data FOLDER beside it: where the database lies',
      })
  })
  .transform(
    ({ url, port, shop, data, units }): MorningSettings => ({
      url: url ?? `http://127.0.0.1:${port}`,
      shop: shop ?? null,
      data: data ?? null,
      units: units ?? null,
    }),
  )

const morningCommand: Command = {
  call: 'npm run morning --',
  about: 'Prints the morning check as text: of a service that runs, or of its database alone.',
  options: [
    { name: 'url', value: 'URL', about: 'the service, http://machine-shop:7420; otherwise the one at --port here' },
    {
      name: 'port',
      value: 'N',
      environment: 'QUIET_IRON_PORT',
      otherwise: '7420',
      about: 'of a service on this computer',
    },
    { name: 'data', value: 'FOLDER', about: 'where the database lies; it is read, and nothing is written to it' },
    { name: 'shop', value: 'FILE', about: 'the shop file, with --data' },
    { name: 'units', value: 'UNITS', about: 'metric, inch or tenths; otherwise the shop’s own' },
  ],
  after: [
    'From a database whose newest reading is more than a quarter of an hour old, the check is as of that reading.',
    '',
    'The service advises. It must not be wired to start or stop a machine.',
  ],
}

/** @param argv without the program's own name */
export const readMorningSettings = (argv: readonly string[], environment: Environment): Outcome<MorningSettings> =>
  readSettings(morningCommand, schema, argv, environment)
