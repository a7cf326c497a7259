import { z } from 'zod'
import { type BrokerAddress, brokerAddress } from '../ingest/broker-address.js'
import { brokerOption, file } from './listening.js'
import { type Command, type Environment, type Outcome, readSettings } from './options.js'

/** What a replay needs to know, checked. */
export interface ReplaySettings {
  file: string
  broker: BrokerAddress
  /** path of the shop file; null: names in the recording are topics */
  shop: string | null
  /** Infinity for max */
  speed: number
  shifted: boolean
  /** as written: how it is meant depends on the shop's zone */
  from: string | null
  to: string | null
  loop: boolean
  json: string | null
}

const speed = z
  .string()
  .regex(/^(?:max|\d+(?:\.\d+)?)$/, 'must be a number, how many times as fast as it happened, or max')
  .transform(text => (text === 'max' ? Number.POSITIVE_INFINITY : Number(text)))
  .refine(value => value >= 0.01, 'must be at least 0.01')

const schema = z
  .object({
    file: z.string('is needed: the recording, a CSV file').trim().min(1, 'must name a file'),
    broker: z.string(),
    shop: file.optional(),
    speed,
    times: z.enum(['original', 'now'], 'must be original or now'),
    from: z.string().optional(),
    to: z.string().optional(),
    loop: z.literal(true).optional(),
    json: file.optional(),
  })
  .superRefine((given, context) => {
    if (given.loop && given.times === 'original')
      context.addIssue({
        code: 'custom',
        path: ['loop'],
        message:
          'needs --times now: with the original times, every round but the first would be the same readings again',
      })
  })

const replayCommand: Command = {
  call: 'npm run replay --',
  about: 'Publishes recorded readings to an MQTT broker, as their sensors would have.',
  options: [
    {
      name: 'file',
      value: 'FILE',
      about: 'the recording (CSV: time,sensor,value or a column for each sensor); needed',
    },
    brokerOption,
    {
      name: 'shop',
      value: 'FILE',
      environment: 'QUIET_IRON_SHOP',
      about:
        "the shop file, which names the sensors, their topics and payloads, and the zone\nof times without one; without it, the recording's names are topics, bare numbers\nin °C are sent, and its times must have a zone",
    },
    { name: 'speed', value: 'N', otherwise: '1', about: 'times as fast as it happened; max: as the broker takes it' },
    {
      name: 'times',
      value: 'WHICH',
      otherwise: 'original',
      about:
        'original: readings carry the times of the recording; now: shifted so that the\nlast one is of the moment it is sent at, and none is ahead of the clock',
    },
    { name: 'from', value: 'TIME', about: 'only readings from then on: 2026-01-14 09:30, or with its zone' },
    { name: 'to', value: 'TIME', about: 'only readings before that' },
    { name: 'loop', about: 'begin anew at its end, until Ctrl-C; with --times now' },
    { name: 'json', value: 'FILE', about: 'write the counts there' },
  ],
  after: [
    'A sensor whose payload has no time says nothing of when: its readings count as of the moment they arrive.',
    '',
    'Only in the environment: QUIET_IRON_MQTT_USER, QUIET_IRON_MQTT_PASSWORD,',
    'QUIET_IRON_MQTT_CA, QUIET_IRON_MQTT_CERT, QUIET_IRON_MQTT_KEY (paths of PEM files).',
  ],
}

/** @param argv without the program's own name */
export const readReplaySettings = (argv: readonly string[], environment: Environment): Outcome<ReplaySettings> => {
  const outcome = readSettings(replayCommand, schema, argv, environment)
  if (outcome.kind !== 'settings') return outcome
  const { file, broker, shop, times, from, to, loop, json, ...rest } = outcome.settings
  try {
    return {
      kind: 'settings',
      settings: {
        ...rest,
        file,
        broker: brokerAddress(broker, environment),
        shop: shop ?? null,
        shifted: times === 'now',
        from: from ?? null,
        to: to ?? null,
        loop: loop === true,
        json: json ?? null,
      },
    }
  } catch (error) {
    return { kind: 'problems', problems: [`--broker: ${(error as Error).message}`] }
  }
}
