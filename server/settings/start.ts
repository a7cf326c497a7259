import { z } from 'zod'
import { type BrokerAddress, brokerAddress } from '../ingest/broker-address.js'
import type { Retention } from '../store/sqlite.js'
import { brokerOption, listeningOptions, listeningSchema, tokenFrom } from './listening.js'
import { type Command, type Environment, type Outcome, readSettings, wholeNumber } from './options.js'

/** What the service needs to know, checked. */
export interface Settings {
  /** path of the shop file */
  shop: string
  broker: BrokerAddress
  /** the service runs the broker itself, at that address */
  embeddedBroker: boolean
  host: string
  port: number
  /** absolute path of a folder */
  data: string
  /** from the environment; null when none is set there */
  token: string | null
  /** days */
  retention: Retention
  log: 'debug' | 'info' | 'warn' | 'error'
}

const days = wholeNumber(1, 36_500)

const schema = z
  .object({
    ...listeningSchema,
    shop: z.string("is needed: the shop's file").trim().min(1, 'must name a file'),
    broker: z.string(),
    'embedded-broker': z.literal(true).optional(),
    'keep-readings': days,
    'keep-minutes': days,
    'keep-quarter-hours': days,
  })
  .superRefine((given, context) => {
    const rising =
      given['keep-readings'] <= given['keep-minutes'] && given['keep-minutes'] <= given['keep-quarter-hours']
    if (!rising)
      context.addIssue({
        code: 'custom',
        path: ['keep-readings'],
        message: 'must not be longer than --keep-minutes, nor that longer than --keep-quarter-hours',
      })
  })

const startCommand: Command = {
  call: 'npm start --',
  about: "Runs the service for a shop, on readings from the shop's MQTT broker.",
  options: [
    { name: 'shop', value: 'FILE', environment: 'QUIET_IRON_SHOP', about: 'the shop file (YAML); needed' },
    brokerOption,
    {
      name: 'embedded-broker',
      about:
        'run a broker in the service, at that address (for a shop that has none;\nit keeps nothing when it is killed)',
    },
    ...listeningOptions('data', 'info'),
    { name: 'keep-readings', value: 'DAYS', otherwise: '90', about: 'how long single readings are kept' },
    { name: 'keep-minutes', value: 'DAYS', otherwise: '730', about: 'how long summaries of a minute are kept' },
    {
      name: 'keep-quarter-hours',
      value: 'DAYS',
      otherwise: '3650',
      about: 'how long summaries of 15 minutes are kept',
    },
  ],
  after: [
    'Only in the environment: QUIET_IRON_TOKEN (for writes), QUIET_IRON_MQTT_USER, QUIET_IRON_MQTT_PASSWORD,',
    'QUIET_IRON_MQTT_CA, QUIET_IRON_MQTT_CERT, QUIET_IRON_MQTT_KEY (paths of PEM files), QUIET_IRON_MQTT_CLIENT_ID.',
    '',
    'The service advises. It must not be wired to start or stop a machine.',
  ],
}

/** @param argv without the program's own name */
export const readStartSettings = (argv: readonly string[], environment: Environment): Outcome<Settings> => {
  const outcome = readSettings(startCommand, schema, argv, environment)
  if (outcome.kind === 'help') return outcome
  const { token, problems } = tokenFrom(environment)
  if (outcome.kind === 'problems') return { kind: 'problems', problems: [...problems, ...outcome.problems] }
  const { shop, broker, 'embedded-broker': embedded, host, port, data, log, ...keep } = outcome.settings
  try {
    const address = brokerAddress(broker, environment)
    if (embedded && !address.url.startsWith('mqtt://'))
      problems.push('--embedded-broker speaks plain MQTT only: give it a --broker that begins with mqtt://.')
    if (problems.length > 0) return { kind: 'problems', problems }
    return {
      kind: 'settings',
      settings: {
        shop,
        broker: address,
        embeddedBroker: embedded === true,
        host,
        port,
        data,
        log,
        token,
        retention: {
          readingDays: keep['keep-readings'],
          minuteDays: keep['keep-minutes'],
          quarterHourDays: keep['keep-quarter-hours'],
        },
      },
    }
  } catch (error) {
    return { kind: 'problems', problems: [...problems, `--broker: ${(error as Error).message}`] }
  }
}
