import { resolve } from 'node:path'
import { z } from 'zod'
import { type CommandOption, type Environment, wholeNumber } from './options.js'

/** What every command that serves and stores has. */
export const listeningOptions = (data: string, log: string): CommandOption[] => [
  {
    name: 'port',
    value: 'N',
    environment: 'QUIET_IRON_PORT',
    otherwise: '7420',
    about: 'where the pages are served; 0 takes a free one',
  },
  {
    name: 'host',
    value: 'ADDRESS',
    environment: 'QUIET_IRON_HOST',
    otherwise: '127.0.0.1',
    about:
      'address to listen on; 0.0.0.0 for the whole network.\nElsewhere than on loopback every write needs a token.',
  },
  {
    name: 'data',
    value: 'FOLDER',
    environment: 'QUIET_IRON_DATA',
    otherwise: data,
    about: 'where the database lies',
  },
  {
    name: 'log',
    value: 'LEVEL',
    environment: 'QUIET_IRON_LOG',
    otherwise: log,
    about: 'debug, info, warn or error',
  },
]

/** the broker, of every command that speaks to one */
export const brokerOption: CommandOption = {
  name: 'broker',
  value: 'URL',
  environment: 'QUIET_IRON_BROKER',
  otherwise: 'mqtt://127.0.0.1:1883',
  about: 'mqtt://host:1883 or mqtts://host:8883',
}

/** a path that is given */
export const file = z.string().trim().min(1, 'must name a file')

/** shortest token that is worth its name */
const tokenLength = 16

export const listeningSchema = {
  port: wholeNumber(0, 65_535),
  host: z
    .string()
    .trim()
    .regex(/^[\w.:[\]-]+$/, 'must be an address or a name, without http:// and port')
    .transform(host => host.replace(/^\[(.*)\]$/, '$1')),
  data: z
    .string()
    .trim()
    .min(1, 'must name a folder')
    .transform(folder => resolve(folder)),
  log: z.enum(['debug', 'info', 'warn', 'error'], 'must be debug, info, warn or error'),
}

/** a secret comes from the environment only: a command line can be read by everyone on the computer */
export const tokenFrom = (environment: Environment): { token: string | null; problems: string[] } => {
  const token = environment.QUIET_IRON_TOKEN?.trim()
  if (!token) return { token: null, problems: [] }
  if (token.length < tokenLength || /\s/.test(token))
    return {
      token: null,
      problems: [`QUIET_IRON_TOKEN in the environment must have at least ${tokenLength} characters and no space.`],
    }
  return { token, problems: [] }
}
