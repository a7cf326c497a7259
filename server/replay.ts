import { writeFileSync } from 'node:fs'
import { connectAsync, type MqttClient } from 'mqtt'
import type { Shop } from '../core/shop.js'
import { progressLine } from './demo/progress-line.js'
import { type BrokerAddress, shownAddress } from './ingest/broker-address.js'
import type { Contents } from './recording/contents.js'
import { loadSequence, NotUsable } from './recording/load.js'
import { carriesTime } from './recording/payload.js'
import { createPublisher } from './recording/publisher.js'
import { replay, type Sequence } from './recording/replaying.js'
import { type ReplaySettings, readReplaySettings } from './settings/replay.js'
import { usable } from './settings/usable.js'
import { describeProblems, readShop } from './shop/index.js'

/** ms; what takes longer shows how far it is */
const patience = 2000
/** ms; a signal so soon after the first is the same Ctrl-C: npm passes on what the terminal has sent already */
const sameAsking = 500

const say = (text: string): void => {
  process.stdout.write(`${text}\n`)
}
const complain = (text: string): void => {
  process.stderr.write(`${text}\n`)
}

const shopOf = (path: string | null): Shop | null => {
  if (path === null) return null
  const read = readShop(path)
  if ('problems' in read) throw new NotUsable(describeProblems(read.problems))
  return read.shop
}

const iso = (at: number): string => new Date(at).toISOString()

const connect = async (broker: BrokerAddress): Promise<MqttClient> => {
  const { url, user, password, ca, cert, key } = broker
  try {
    // 3.1.1, as most sensors speak
    const client = await connectAsync(
      url,
      {
        protocolVersion: 4,
        reconnectPeriod: 2000,
        connectTimeout: 10_000,
        ...(user === undefined ? {} : { username: user }),
        ...(password === undefined ? {} : { password }),
        ...(ca ? { ca } : {}),
        ...(cert ? { cert } : {}),
        ...(key ? { key } : {}),
      },
      false,
    )
    let away = false
    client.on('error', () => undefined)
    client.on('offline', () => {
      if (!away) complain('The broker is gone; trying to reach it again. Nothing is lost meanwhile.')
      away = true
    })
    client.on('connect', () => {
      if (away) complain('The broker is back.')
      away = false
    })
    return client
  } catch (error) {
    const { message, code } = error as NodeJS.ErrnoException
    throw new Error(
      `No broker lets us in at ${shownAddress(broker)} (${message || code}). Start it, or name another with --broker.`,
    )
  }
}

/** counts for --json: flat names, the unit in the name */
const counts = (
  contents: Contents,
  sequence: Sequence,
  rounds: number,
  seconds: number,
  sent: { published: number; acknowledged: number },
) => ({
  readingsInFile: contents.readings,
  readingsPlayed: sequence.at.length,
  rowsRefused: contents.rowsRefused,
  valuesRefused: contents.valuesRefused,
  sensors: sequence.sensors.length,
  spanSeconds: (sequence.at.at(-1)! - sequence.at[0]!) / 1000,
  wholeRounds: rounds,
  messagesPublished: sent.published,
  messagesAcknowledged: sent.acknowledged,
  seconds,
  messagesPerSecond: sent.acknowledged / seconds,
})

const run = async (settings: ReplaySettings, signal: AbortSignal): Promise<boolean> => {
  const shop = shopOf(settings.shop)
  const { sequence, contents } = await loadSequence(settings, shop, complain)
  const timeless = sequence.sensors.filter(sensor => !carriesTime(sensor))
  const client = await connect(settings.broker)
  const { speed, shifted } = settings
  say(
    `${sequence.at.length} readings of ${sequence.sensors.length} sensors from ${iso(sequence.at[0]!)} to ${iso(sequence.at.at(-1)!)}, ` +
      `${speed === Number.POSITIVE_INFINITY ? 'as fast as the broker takes them' : `${speed} × as fast as they happened`}, to ${shownAddress(settings.broker)}`,
  )
  if (timeless.length > 0)
    say(
      `${timeless.length} of the sensors send no time: their readings count as of the moment they arrive (${timeless
        .slice(0, 5)
        .map(s => s.id)
        .join(', ')}${timeless.length > 5 ? ' …' : ''}).`,
    )

  const publisher = createPublisher(client, signal)
  const begun = performance.now()
  let rounds = 0
  do {
    const onPart = progressLine(settings.loop ? `round ${rounds + 1}` : 'replay', process.stdout, patience)
    await replay(sequence, publisher, { speed, shifted, signal, onPart })
    if (!signal.aborted) rounds += 1
  } while (settings.loop && !signal.aborted)

  const seconds = (performance.now() - begun) / 1000
  // what is under way when it is stopped may still be acknowledged
  const force = setTimeout(() => client.end(true), 3000)
  await client.endAsync(!client.connected)
  clearTimeout(force)
  const result = counts(contents, sequence, rounds, seconds, publisher)
  if (settings.json !== null) writeFileSync(settings.json, `${JSON.stringify(result, null, 2)}\n`)
  say(
    `${signal.aborted ? 'Stopped' : 'Done'} after ${seconds.toFixed(1)} s: ${publisher.acknowledged} of ${publisher.published} messages acknowledged` +
      `${settings.loop ? `, ${rounds} whole rounds` : ''}; ${contents.rowsRefused} rows and ${contents.valuesRefused} single values of the file were left out.`,
  )
  return !signal.aborted || settings.loop
}

/** `npm run replay`: exit code 2 for what cannot be used, 1 for a replay that failed, 130 for one cut short. */
const main = async (): Promise<void> => {
  const settings = usable(readReplaySettings(process.argv.slice(2), process.env))
  if (!settings) return
  const stop = new AbortController()
  let asked = 0
  for (const name of ['SIGINT', 'SIGTERM'] as const)
    process.on(name, () => {
      if (asked > 0 && Date.now() - asked > sameAsking) process.exit(130)
      asked ||= Date.now()
      stop.abort()
    })
  try {
    if (!(await run(settings, stop.signal))) process.exitCode = 130
  } catch (error) {
    complain(error instanceof Error ? error.message : String(error))
    process.exitCode = error instanceof NotUsable ? 2 : 1
  }
}

await main()
