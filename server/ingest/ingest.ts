import type { IPublishPacket } from 'mqtt'
import { highest } from '../../core/statistics/index.js'
import type { SqliteStore } from '../store/sqlite.js'
import { type Absence, createAbsence, waitedSince } from './absence.js'
import { backoff } from './backoff.js'
import { type BrokerAddress, shownAddress } from './broker-address.js'
import { createClockWatch } from './clock-watch.js'
import { createCommitter, type IngestLog, wordsFor } from './committer.js'
import type { Condition } from './condition.js'
import { type ClosedBecause, type Connection, openConnection, type ProtocolVersion, window } from './connection.js'
import { brokenOff, type Decoded } from './decoder.js'
import { type Described, messagesOf } from './described.js'
import { createGroup, type Group } from './group.js'
import type { Reading } from './reading.js'
import { rebirthRequest } from './sparkplug/payload.js'
import type { SparkplugNode } from './sparkplug/sessions.js'
import { commandTopic, nodeKey } from './sparkplug/topic.js'
import { createStatistics, type IngestStatistics } from './statistics.js'
import { subscriptionsBehind } from './subscriptions.js'
import { createTakeoverWatch } from './takeover.js'
import { createUnassigned, type UnassignedTopics } from './unassigned.js'

export type { IngestLog } from './committer.js'

type BrokerState = IngestStatistics['broker']

export interface IngestOptions extends Described {
  broker: BrokerAddress
  store: Pick<SqliteStore, 'append' | 'recordRefusals' | 'keptSince' | 'latest' | 'serviceId'>
  /** new readings, after their commit; never duplicates */
  onReadings(readings: readonly Reading[]): void
  /** what devices tell of themselves; not stored */
  onConditions?(conditions: readonly Condition[]): void
  onBroker(state: BrokerState): void
  /** why readings cannot be stored, and what to do; null: they can again */
  onUnstored?(why: string | null): void
  /** what else makes readings go missing, and what to do; null: that is over */
  onTrouble?(what: 'session' | 'clock', why: string | null): void
  /** sensors that are gone at once, and why; null: they are back. After the readings that came before */
  onLost?(sensors: readonly string[], reason: string | null): void
  /** ms since 1970 */
  clock?: () => number
  log: IngestLog
  /** by which the broker knows us again; two services on one broker need different ones */
  clientId?: string
}

export interface Ingest {
  start(): void
  /** commits and acknowledges what is there and says good-bye to the broker; the store may be closed afterwards */
  stop(): Promise<void>
  stats(): IngestStatistics
  unassigned(): UnassignedTopics
  /** The shop file says something else from now on: the session at the broker stays, only subscriptions differ. */
  change(described: Described): void
}

/** topics unsubscribed on one connection because no sensor of the shop has them any more */
const mostUnsubscribed = 1000
/** ms; a connection that lasted this long was no failure */
const lasting = 30_000
/** failures as which a takeover counts, at least: two programs that take the session from each other should not do so at once */
const afterTakeover = 5
/** ms; a clock that is behind is said within a minute */
const lookAtClock = 10_000
/** ms; a Sparkplug node is asked for its birth no more often */
const askAgainAfter = 60_000

/**
 * Takes readings from the broker: decode, commit in groups, and only then acknowledge. What could not be committed is
 * not acknowledged: the connection is broken off, and the broker sends it again on the next one. So nothing waits here
 * in memory beyond one group, and what exceeds it waits at the broker.
 *
 * Speaks MQTT 5, and 3.1.1 to a broker that refuses 5. Connects again by itself, with growing pauses.
 */
export const createIngest = (options: IngestOptions): Ingest => {
  const { broker, store, log, onBroker } = options
  const clock = options.clock ?? Date.now
  const clientId = options.clientId ?? `quiet-iron-${store.serviceId}`
  const shown = shownAddress(broker)
  let messages = messagesOf(options)
  const unassigned = createUnassigned()
  /** when each Sparkplug node was asked for its birth; ms since 1970 */
  const asked = new Map<string, number>()
  const statistics = createStatistics()
  const committer = createCommitter({ ...options, statistics, clock })

  /** each trouble is said once when it begins and ends; a figure in it that changes is no other trouble */
  const trouble = (what: 'session' | 'clock', over: string) => {
    let before = false
    return (why: string | null): void => {
      if (why !== null && !before) log.error(why)
      if (why === null && before) log.info(over)
      if (why !== null || before) options.onTrouble?.(what, why)
      before = why !== null
    }
  }
  const clockWatch = createClockWatch()
  const clockTrouble = trouble('clock', 'The sensors and the clock of this computer agree again.')
  const leftAlone = `No other program has used the name ${clientId} for ten minutes.`
  const takeover = createTakeoverWatch({ shown, clientId }, trouble('session', leftAlone))
  let looking: NodeJS.Timeout | undefined

  let current: { link: Connection; group: Group } | undefined
  let absence: Absence = createAbsence(null)
  let timer: NodeJS.Timeout | undefined
  let running = false
  let failures = 0
  let version: ProtocolVersion = 5
  /** the broker has answered in this version */
  let agreed = false
  /** the session at the broker holds our subscriptions */
  let subscribed = false
  let state: BrokerState = 'away'
  let said = ''

  const setState = (next: BrokerState): void => {
    if (state === next) return
    state = next
    statistics.broker(next)
    onBroker(next)
  }

  /** one trouble makes one line, not one with every attempt */
  const say = (trouble: string): void => {
    if (trouble !== said && !committer.failing()) log.warn(trouble)
    said = trouble
  }

  /** @param filters only these, if given: the others are subscribed already */
  const subscribe = async (link: Connection, filters?: readonly string[]): Promise<void> => {
    const all = messages.subscriptions.filters
    const wanted = filters ?? (subscribed ? [] : all)
    const refused = wanted.length === 0 ? [] : await link.subscribe(wanted)
    if (current?.link !== link) return
    subscribed = true
    said = ''
    if (refused.length > 0)
      log.error(
        `The broker at ${shown} did not grant ${refused.length} of ${all.length} topics with acknowledgement (the ` +
          `first: ${refused[0]}). Their readings will be missing. Let the service's user read these topics there.`,
      )
    if (!committer.failing())
      log.info(`Connected to the broker at ${shown} (MQTT ${statistics.read().mqtt}), ${all.length} topics.`)
    setState('connected')
    for (const node of messages.decode.unborn()) askForBirth(link, node)
  }

  /** @param gone subscriptions that are given up after that */
  const keepSubscribed = async (link: Connection, filters?: readonly string[], gone: readonly string[] = []) => {
    try {
      await subscribe(link, filters)
      if (gone.length > 0 && current?.link === link) link.unsubscribe(gone)
    } catch (error) {
      subscribed = false
      say(`The broker at ${shown} did not take the subscriptions: ${wordsFor(error)}. Trying again.`)
      link.destroy()
    }
  }

  /** Only where the shop file allows it: it is a command. */
  const askForBirth = (link: Connection, node: SparkplugNode): void => {
    const now = clock()
    if (!messages.mayRequestRebirth || now - (asked.get(nodeKey(node)) ?? 0) < askAgainAfter) return
    asked.set(nodeKey(node), now)
    link.publish(commandTopic(node), rebirthRequest(now))
  }

  const again = (why: ClosedBecause): void => {
    failures = takeover.closed(why) ? Math.max(failures + 1, afterTakeover) : failures + 1
    if (why.versionRefused || (why.unanswered && !agreed)) version = version === 5 ? 4 : 5
    if (why.text !== '') say(`The broker at ${shown} cannot be reached: ${why.text}. Trying again.`)
    else if (!why.versionRefused)
      say(
        `The broker at ${shown} closed the connection; connecting again. Should this go on, see there whether another ` +
          `client uses the name ${clientId}.`,
      )
    timer = setTimeout(open, why.versionRefused && failures === 1 ? 0 : backoff(failures, Math.random()))
  }

  const open = (): void => {
    let mayHaveWaited = waitedSince(0, 0)
    const opened = clock()
    const unsubscribed = new Set<string>()

    const group = createGroup(
      {
        ...committer,
        acknowledge: ids => link.acknowledge(ids),
        failed(error) {
          committer.failed(error)
          link.destroy()
        },
      },
      window / 2,
    )

    const passOn = ({ conditions, unassigned: found, rebirth, lost }: Decoded): void => {
      if (conditions) options.onConditions?.(conditions)
      if (found) unassigned.found(found)
      if (rebirth) askForBirth(link, rebirth)
      // what came before it is passed on before it
      if (lost) group.flush()
      for (const { sensors, reason } of lost ?? []) options.onLost?.(sensors, reason)
    }

    const onMessage = ({ topic, payload, retain, qos, messageId }: IPublishPacket): void => {
      // once stopped, what still comes is left to the broker
      if (current?.link !== link) return
      const now = clock()
      const bytes = typeof payload === 'string' ? Buffer.from(payload) : payload
      const decoded = messages.decode(topic, bytes, {
        retained: retain,
        receivedAt: now,
        keptSince: store.keptSince(),
        mayHaveWaited: sensor => mayHaveWaited(sensor, now),
        timed: clockWatch.heard,
      })
      group.add(decoded, qos > 0 ? messageId : undefined, topic)
      statistics.received(group.size())
      try {
        passOn(decoded)
      } catch (error) {
        group.add({ readings: [], refusals: [brokenOff(topic, bytes, now, error)] }, undefined, topic)
      }
      if (messages.subscriptions.wants(topic) || unsubscribed.has(topic) || unsubscribed.size >= mostUnsubscribed)
        return
      unsubscribed.add(topic)
      link.unsubscribe(subscriptionsBehind(topic))
    }

    const link = openConnection({
      broker,
      clientId,
      version,
      onSession(kept) {
        agreed = true
        statistics.session(version)
        subscribed &&= kept
        if (!kept) messages.decode.forgetBirths()
        mayHaveWaited = absence.connected(clock(), kept)
      },
      onReady: () => void keepSubscribed(link),
      onMessage,
      onClosed(why) {
        group.flush()
        absence.closed(clock())
        setState('away')
        if (current?.link === link) current = undefined
        if (clock() - opened >= lasting) failures = 0
        if (running) again(why)
      },
    })
    current = { link, group }
  }

  return {
    start() {
      if (running) return
      running = true
      // the service that ran before was there until the last reading it stored
      const arrivals = store.latest().map(reading => reading.receivedAt)
      absence = createAbsence(arrivals.length > 0 ? highest(arrivals) : null)
      open()
      looking = setInterval(() => {
        const why = clockWatch.look()
        if (why !== undefined) clockTrouble(why)
      }, lookAtClock)
    },
    async stop() {
      running = false
      clearInterval(looking)
      takeover.stop()
      clearTimeout(timer)
      const last = current
      current = undefined
      last?.group.flush()
      await last?.link.end()
    },
    stats: statistics.read,
    unassigned: unassigned.read,
    change(next) {
      // what arrived before is taken as it was described then
      current?.group.flush()
      const before = messages.subscriptions.filters
      messages = messagesOf(next, messages)
      const now = messages.subscriptions.filters
      const gone = before.filter(filter => !now.includes(filter))
      const added = now.filter(filter => !before.includes(filter))
      const link = current?.link
      // without a connection, the next one subscribes; what nobody wants any more is given up when it comes
      if (!subscribed || !link || state === 'away') {
        subscribed &&= added.length === 0
        return
      }
      void keepSubscribed(link, added, gone)
    },
  }
}
