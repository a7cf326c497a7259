import { readdirSync, statSync } from 'node:fs'
import { join } from 'node:path'
import type { Shop } from '../core/shop.js'
import { type Actions, createActions } from './actions/index.js'
import { startEmbedded } from './broker/embedded.js'
import { recordFound } from './found-facts.js'
import { createApp } from './http/app.js'
import { listen, stopListening } from './http/listening.js'
import { isLoopback } from './http/plugins/access.js'
import type { BrokerAddress } from './ingest/broker-address.js'
import { clientIdFor } from './ingest/client-id.js'
import { createIngest } from './ingest/ingest.js'
import { countersOf } from './ingest/statistics.js'
import { inspectionImports } from './inspections/standing.js'
import { keptStudies } from './kept-studies.js'
import type { Logger } from './log.js'
import { type Monitor, renewableMonitor } from './monitor/index.js'
import { withOffsetsInForce } from './offsets.js'
import { clockSet, createPace } from './pace.js'
import { pagesFolder, version } from './project.js'
import { pruning } from './pruning.js'
import { recoveredMonitor } from './recovery.js'
import { keptToken, type Settings } from './settings/index.js'
import type { ParsedShop } from './shop/index.js'
import { shopChanges } from './shop-changes.js'
import { unclaimedWords } from './store/known-shop.js'
import { openStore, type SqliteStore } from './store/sqlite.js'
import { startIdentification } from './studies/identification/index.js'
import { investigationFacts, investigationPath, investigationStands } from './studies/investigation/stands.js'
import { createJobAnswers } from './studies/morning/job-answers.js'
import { keepAnswering } from './studies/morning/keep-answering.js'
import { startShopLearning } from './studies/shop-model/index.js'
import { upkeep } from './upkeep.js'
import { createBesideWorker } from './worker/index.js'
import { withStandingAnswers } from './worker/standing.js'

export interface ServiceOptions {
  shop: Shop
  log: Logger
  /** ms since 1970; the wall clock if not given */
  clock?: () => number
  /** folder of the built pages */
  pages?: string
  /** the readings are at first a history, and time is theirs until `historyFilled` */
  history?: History
}

interface History {
  /** ms; where it begins */
  from: number
  /** s; how often every sensor reports in it, where that is less often than it does live */
  interval: number
}

/** A service that runs. */
export interface Service {
  /** where the pages are, for a browser on this computer */
  url: string
  /** of the broker that readings come from */
  broker: BrokerAddress
  /** where the token for writes lies; null when none is needed or it comes from the environment */
  tokenFile: string | null
  monitor: Monitor
  actions: Actions
  store: SqliteStore
  /** ms; the monitor's time */
  now(): number
  /** lets what the shop file says now take effect; a wrong one changes nothing, and says so */
  changeShop(read: ParsedShop): Promise<void>
  /** the history is filled in: time is the clock's from now on */
  historyFilled(): void
  /** takes what has arrived, says good-bye to the broker, ends the pages, closes the database */
  stop(): Promise<void>
}

/**
 * Composes and starts the whole: store, monitor, HTTP interface, broker, ingest.
 *
 * @throws Error with what, where and what to do; whatever had been started is stopped again
 */
export const startService = async (settings: Settings, options: ServiceOptions): Promise<Service> => {
  const { log } = options
  const clock = options.clock ?? Date.now
  const { history } = options
  const closers: (() => Promise<void> | void)[] = []
  const stopAll = async () => {
    // each closes what it can, the last one the database, even when one before it fails
    for (const close of closers.splice(0).reverse())
      try {
        await close()
      } catch (error) {
        log.error({ err: error }, 'a part did not stop cleanly')
      }
  }
  let stopping: Promise<void> | undefined
  const stop = () => {
    stopping ??= stopAll()
    return stopping
  }

  try {
    const store = openStore(settings.data, {
      retention: settings.retention,
      shop: options.shop,
      say: text => log.warn(text),
    })
    const leftOver = unclaimedWords(store.unclaimed())
    if (leftOver) log.warn(leftOver)
    closers.push(() => store.close())
    const beside = withStandingAnswers(
      createBesideWorker({ folder: settings.data, shop: options.shop }),
      store.facts,
      investigationStands,
      investigationFacts,
    )
    closers.push(() => beside.stop())
    const access = writeAccess(settings)
    // the one object that all hold on to; offsets change when somebody accepts a correction, the rest with the shop file
    const shop = await withOffsetsInForce(options.shop, store)

    const monitor = await renewableMonitor(() => recoveredMonitor(shop, store, clock()))
    const found = recordFound(monitor, store.facts, log)
    closers.push(() => found.stop())
    if (history) monitor.setFilling(0, history.interval)
    const pace = createPace(
      monitor,
      clock,
      history?.from ?? null,
      ms => {
        log.warn(clockSet(ms))
        if (ms > 0) return
        void monitor.renew()
        monitor.setGone(
          shop.sensors.map(sensor => sensor.id),
          'the service’s clock was set back; waiting for its next reading',
        )
      },
      shop.replay,
    )
    closers.push(() => pace.stop())

    const embedded = settings.embeddedBroker ? await startEmbedded(settings.broker, text => log.warn(text)) : null
    if (embedded) closers.push(() => embedded.stop())
    const broker = embedded ? { ...settings.broker, url: embedded.url } : settings.broker

    const { clientId, isCopy } = clientIdFor(store, settings.data)
    if (isCopy)
      log.warn(
        `The database in ${settings.data} comes from another computer or folder, so the broker knows this service by another ` +
          `name (${clientId}): readings that wait there for the original stay its own. Where this is now the original, ` +
          `QUIET_IRON_MQTT_CLIENT_ID=quiet-iron-${store.serviceId} gives it the old name back.`,
      )
    const ingest = createIngest({
      clientId: broker.clientId ?? clientId,
      broker,
      sensors: shop.sensors,
      topics: shop.topics,
      sparkplug: shop.sparkplug,
      lowBattery: shop.lowBattery,
      store,
      onReadings: readings => pace.take(readings),
      onConditions: conditions => monitor.takeConditions(conditions),
      onBroker: state => monitor.setBroker(state),
      onUnstored: why => monitor.setUnstored(why),
      onTrouble: (what, why) => monitor.setTrouble(what, why),
      onLost: (sensors, reason) => monitor.setGone(sensors, reason),
      clock,
      log,
    })
    const changes = shopChanges({
      shop,
      file: options.shop,
      store,
      monitor,
      ingest,
      beside,
      recordSuspects: found.suspects,
      clock: pace.now,
      log,
    })
    const isFilled = () => monitor.shop().filling === null
    const studies = keptStudies({ shop, store, monitor, beside }, pace.now, isFilled, log)
    closers.push(() => studies.stop())
    const actions = createActions({
      shop: () => shop,
      store,
      monitor,
      knownSpindle: studies.knownSpindle,
      fileSensors: () => changes.file().sensors,
      clock: pace.now,
    })
    const jobAnswers = createJobAnswers({ shop, store, monitor, clock: pace.now })
    const app = await createApp({
      shop,
      monitor,
      store,
      ingestStats: () => ({
        ...countersOf(ingest.stats()),
        unassigned: ingest.unassigned().count,
        ...Object.fromEntries(
          Object.entries(embedded?.refused() ?? {}).map(([reason, count]) => [`embedded broker: ${reason}`, count]),
        ),
      }),
      ingestWaiting: () => ingest.stats().waiting,
      unassigned: ingest.unassigned,
      // what is deleted next hour is not taken in now
      keptSince: () => Math.max(store.keptSince(), store.deletedBefore(pace.now())),
      uploads: join(settings.data, 'uploads'),
      storeNotes: () => ({ damaged: store.damaged(), unclaimed: store.unclaimed() }),
      storeBytes: () => folderBytes(settings.data),
      actions,
      jobAnswers,
      night: studies.night,
      heating: studies.heating,
      beside,
      settings: { host: settings.host, token: access.token, pages: options.pages ?? pagesFolder },
      clock: pace.now,
      version,
      logger: log,
    })
    closers.push(() => stopListening(app))
    const url = await listen(app, settings.host, settings.port)
    // before readings come in that bear the clock's time
    closers.push(pruning(store, clock, log))
    // last in, first out: nothing new comes in while the rest is taken down
    closers.push(() => ingest.stop())
    ingest.start()
    closers.push(upkeep(store, clock, why => monitor.setUnstored(why), log))
    const identification = startIdentification(shop, store, monitor, beside, pace.now, isFilled, log)
    closers.push(() => void identification.stop())
    const shopLearning = startShopLearning(shop, store, beside, pace.now, isFilled, log)
    closers.push(() => void shopLearning.stop())
    beside.askAhead(
      investigationPath,
      async () => isFilled() && (await inspectionImports(store)).some(({ ended, takenBack }) => ended && !takenBack),
      pace.now,
    )
    closers.push(keepAnswering(jobAnswers, monitor, isFilled, log))

    return {
      url,
      broker,
      tokenFile: access.file,
      monitor,
      actions,
      store,
      now: pace.now,
      changeShop: changes.take,
      historyFilled() {
        monitor.setFilling(null)
        pace.followClock()
        void identification.look()
        void shopLearning.look()
      },
      stop,
    }
  } catch (error) {
    await stop()
    throw error
  }
}

/** The token for writes: from the environment, or kept in the data folder once others can reach the service. */
const writeAccess = ({ token, host, data }: Settings): { token: string | null; file: string | null } =>
  token !== null || isLoopback(host) ? { token, file: null } : keptToken(data)

const folderBytes = (folder: string): number =>
  readdirSync(folder)
    .filter(name => name.startsWith('quiet-iron.db'))
    .reduce((sum, name) => sum + (statSync(join(folder, name), { throwIfNoEntry: false })?.size ?? 0), 0)
