import { readdirSync, statSync } from 'node:fs'
import { hostname } from 'node:os'
import { join } from 'node:path'
import { formatDuration } from '../core/format.js'
import type { Shop } from '../core/shop.js'
import type { FitByOutcome, TrustChange, VerdictChange } from '../core/state.js'
import { type Actions, createActions } from './actions/index.js'
import { type EmbeddedBroker, startBroker } from './broker/broker.js'
import { factRecorder } from './fact-recorder.js'
import { createApp } from './http/app.js'
import { isLoopback } from './http/plugins/access.js'
import { askedBeside } from './http/plugins/costly.js'
import type { BrokerAddress } from './ingest/broker-address.js'
import { clientIdFor } from './ingest/client-id.js'
import { createIngest, type IngestStatistics } from './ingest/ingest.js'
import { inspectionImports } from './inspections/standing.js'
import type { Logger } from './log.js'
import { type Monitor, renewableMonitor } from './monitor/index.js'
import { withOffsetsInForce } from './offsets.js'
import { createPace } from './pace.js'
import { pagesFolder, version } from './project.js'
import { pruning } from './pruning.js'
import { recoveredMonitor } from './recovery.js'
import { keptToken, type Settings } from './settings/index.js'
import type { ParsedShop } from './shop/index.js'
import { shopChanges } from './shop-changes.js'
import { unclaimedWords } from './store/known-shop.js'
import { openStore, type SqliteStore } from './store/sqlite.js'
import { heatingForNextShift } from './studies/heating/next-shift.js'
import { setbacksAt, setbacksPath } from './studies/heating/setbacks.js'
import { startIdentification } from './studies/identification/index.js'
import { investigationFacts, investigationPath, investigationStands } from './studies/investigation/stands.js'
import { createJobAnswers } from './studies/morning/job-answers.js'
import { keepAnswering } from './studies/morning/keep-answering.js'
import { keepByQuarter } from './studies/morning/kept.js'
import { nightStudy } from './studies/morning/night.js'
import { startShopLearning } from './studies/shop-model/index.js'
import { spindleAnswerOf } from './studies/spindle/spindle-tests.js'
import { upkeep } from './upkeep.js'
import { createBesideWorker } from './worker/index.js'
import { withStandingAnswers } from './worker/standing.js'

/** ms; connections that are still busy when the service stops get so long */
const patience = 2_000

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
    const { facts } = store
    const recordVerdicts = factRecorder(
      (changes: readonly VerdictChange[]) => facts.record('verdict', changes.map(toldOf)),
      'verdicts',
      log,
    )
    const recordTrust = factRecorder(
      (changes: readonly TrustChange[]) => facts.record('trust', changes),
      'what was found about sensors',
      log,
    )
    const recordFitBys = factRecorder(
      (outcomes: readonly FitByOutcome[]) => facts.record('fit by', outcomes),
      'what became of the times found for "fit by"',
      log,
    )
    monitor.onChange(({ verdicts, trust, fitBys }) => {
      void recordVerdicts(verdicts)
      void recordFitBys(fitBys)
      void recordTrust(trust)
    })
    closers.push(() => recordVerdicts([]))
    closers.push(() => recordFitBys([]))
    // as they are said at the end, for what is said of a sensor may change with time
    closers.push(() => recordTrust(monitor.suspects()))
    if (history) monitor.setFilling(0, history.interval)
    const pace = createPace(
      monitor,
      clock,
      history?.from ?? null,
      ms => {
        log.warn(clockWords(ms))
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

    const embedded = settings.embeddedBroker ? await startEmbedded(settings.broker, log) : null
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
      log: ingestLog(log),
    })
    const changes = shopChanges({
      shop,
      file: options.shop,
      store,
      monitor,
      ingest,
      beside,
      recordSuspects: () => recordTrust(monitor.suspects()),
      clock: pace.now,
      log,
    })
    const actions = createActions({
      shop: () => shop,
      store,
      monitor,
      // a fit takes a tenth of a second: the thread's, not ours
      knownSpindle: async machine => {
        const here = () => spindleAnswerOf(store, machine)
        const path = `/api/machines/${encodeURIComponent(machine)}/spindle`
        return (await askedBeside({ beside, clock: pace.now }, path, here)).shown?.fit?.known ?? null
      },
      fileSensors: () => changes.file().sensors,
      clock: pace.now,
    })
    const jobAnswers = createJobAnswers({ shop, store, monitor, clock: pace.now })
    const isFilled = () => monitor.shop().filling === null
    const night = keepByQuarter(
      () =>
        askedBeside({ beside, clock: pace.now }, '/api/morning/night', () => nightStudy({ shop, store }, pace.now())),
      pace.now,
      isFilled,
      error => log.error({ err: error }, 'the night could not be looked back on'),
    )
    closers.push(() => night.stop())
    const heating = keepByQuarter(
      () =>
        heatingForNextShift(
          { shop, monitor },
          async machine => {
            const here = async () => ({ setbacks: await setbacksAt({ shop, store }, machine, pace.now()) })
            return (await askedBeside({ beside, clock: pace.now }, setbacksPath(machine.id), here)).setbacks
          },
          pace.now(),
        ),
      pace.now,
      isFilled,
      error => log.error({ err: error }, 'when the heating must come on could not be found'),
    )
    closers.push(() => heating.stop())
    const app = await createApp({
      shop,
      monitor,
      store,
      ingestStats: () => ({
        ...counters(ingest.stats()),
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
      night,
      heating,
      beside,
      settings: { host: settings.host, token: access.token, pages: options.pages ?? pagesFolder },
      clock: pace.now,
      version,
      logger: log,
    })
    closers.push(async () => {
      const late = setTimeout(() => app.server.closeAllConnections(), patience)
      await app.close()
      clearTimeout(late)
    })
    await app.listen({
      host: settings.host,
      port: settings.port,
      listenTextResolver: address => `listening on ${address}`,
    })
    // before readings come in that bear the clock's time
    closers.push(pruning(store, clock, log))
    // last in, first out: nothing new comes in while the rest is taken down
    closers.push(() => ingest.stop())
    ingest.start()
    closers.push(upkeep(store, clock, why => monitor.setUnstored(why), log))
    const identification = startIdentification(shop, store, monitor, beside, pace.now, isFilled, log)
    closers.push(() => identification.stop())
    const shopLearning = startShopLearning(shop, store, beside, pace.now, isFilled, log)
    closers.push(() => shopLearning.stop())
    beside.askAhead(
      investigationPath,
      async () => isFilled() && (await inspectionImports(store)).some(({ ended, takenBack }) => ended && !takenBack),
      pace.now,
    )
    closers.push(keepAnswering(jobAnswers, monitor, isFilled, log))

    const address = app.server.address()
    const port = typeof address === 'object' && address ? address.port : settings.port
    return {
      url: `http://${shownHost(settings.host)}:${port}`,
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
        identification.look()
        shopLearning.look()
      },
      stop,
    }
  } catch (error) {
    await stop()
    throw inWords(error, settings)
  }
}

/** A change as a fact: an index beyond all numbers is as good as none. */
const toldOf = (change: VerdictChange): VerdictChange => {
  const { thermalErrorIndex } = change
  return { ...change, thermalErrorIndex: Number.isFinite(thermalErrorIndex) ? thermalErrorIndex : null }
}

/** The token for writes: from the environment, or kept in the data folder once others can reach the service. */
const writeAccess = ({ token, host, data }: Settings): { token: string | null; file: string | null } =>
  token !== null || isLoopback(host) ? { token, file: null } : keptToken(data)

const startEmbedded = ({ url, user, password }: BrokerAddress, log: Logger): Promise<EmbeddedBroker> => {
  const { hostname: host, port } = new URL(url)
  return startBroker({
    host: host.replace(/^\[(.*)\]$/, '$1'),
    port: port === '' ? 1883 : Number(port),
    warn: text => log.warn(text),
    ...(user && password ? { credentials: { user, password } } : {}),
  })
}

/** @param ms how far the clock went at once, forward or (negative) back */
const clockWords = (ms: number): string => {
  const far = `${formatDuration(Math.abs(ms) / 1000)} at once`
  return ms > 0
    ? `The clock went forward by ${far} (it was set, or the computer slept). What was measured before is now as old as that.`
    : `The clock went back by ${far}. Verdicts are unknown until the sensors have reported again; readings that bear later ` +
        'times stay stored. Check the time service of this computer.'
}

const ingestLog = (log: Logger) => ({
  info: (text: string) => log.info(text),
  warn: (text: string) => log.warn(text),
  error: (text: string) => log.error(text),
})

const counters = (stats: IngestStatistics): Record<string, number> => ({
  received: stats.received,
  stored: stats.stored,
  duplicate: stats.duplicate,
  ...Object.fromEntries(Object.entries(stats.refused).map(([reason, count]) => [`refused: ${reason}`, count])),
  reconnects: stats.reconnects,
  'failed commits': stats.failedCommits,
})

const folderBytes = (folder: string): number =>
  readdirSync(folder)
    .filter(name => name.startsWith('quiet-iron.db'))
    .reduce((sum, name) => sum + (statSync(join(folder, name), { throwIfNoEntry: false })?.size ?? 0), 0)

const shownHost = (host: string): string => {
  if (host === '0.0.0.0' || host === '::') return hostname()
  return host.includes(':') ? `[${host}]` : host
}

const inWords = (error: unknown, { host, port }: Settings): unknown => {
  const remedies: Record<string, string> = {
    EADDRINUSE: 'Another program, perhaps a second service, uses it: choose another with --port.',
    EACCES: 'Ports below 1024 need special rights: choose a higher one with --port.',
    EADDRNOTAVAIL: 'This computer has no such address: choose another with --host.',
    ENOTFOUND: 'That name is not known: choose another with --host.',
  }
  const { code, syscall } = error as NodeJS.ErrnoException
  const remedy = remedies[code ?? '']
  if (!remedy || (syscall !== 'listen' && syscall !== 'getaddrinfo')) return error
  return new Error(`The pages cannot be served on ${host}, port ${port}. ${remedy}`, { cause: error })
}
