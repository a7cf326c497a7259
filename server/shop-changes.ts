import { unwatchFile, watchFile } from 'node:fs'
import { basename } from 'node:path'
import type { Shop } from '../core/shop.js'
import { oneAtATime } from './actions/index.js'
import type { Ingest } from './ingest/ingest.js'
import type { Logger } from './log.js'
import type { RenewableMonitor } from './monitor/index.js'
import { withOffsetsInForce } from './offsets.js'
import { changeShop } from './recovery.js'
import { describeProblems, type ParsedShop } from './shop/index.js'
import { type SqliteStore, StoreError } from './store/sqlite.js'
import type { BesideWorker } from './worker/index.js'

/** ms; how often it is looked whether the file is another one, and how long it must have been left alone then */
const lookEvery = 1000
const atRest = 300

interface ShopChangeParts {
  /** as it is in force: everybody holds on to this one object, whose parts are replaced */
  shop: Shop
  /** as the file describes it */
  file: Shop
  store: Pick<SqliteStore, 'series' | 'readings' | 'facts' | 'takeShop'>
  monitor: RenewableMonitor
  ingest: Pick<Ingest, 'change'>
  beside: Pick<BesideWorker, 'setShop'>
  /** puts on record what is said of sensors that are not believed */
  recordSuspects: () => Promise<void>
  /** ms */
  clock: () => number
  log: Pick<Logger, 'info' | 'error'>
}

interface ShopChanges {
  /** as the file describes it that is in force */
  file(): Shop
  /** Lets what the file says now take effect; a wrong one changes nothing, and the log and the About page say so. */
  take(read: ParsedShop): Promise<void>
}

/** The shop file may change while the service runs; see `Ingest.change` and `LiveMonitor.change` for what goes on. */
export const shopChanges = (parts: ShopChangeParts): ShopChanges => {
  const { shop, store, monitor, ingest, beside, log } = parts
  const inTurn = oneAtATime()
  let { file } = parts

  /** @param told on the page, where the place of the file on this computer is nobody's business */
  const refuse = (why: string, error?: unknown, told = why) => {
    monitor.setShopProblem(told)
    log.error({ err: error }, `${why}\n\nNothing has changed: the shop file that was read before stays in force.`)
  }
  const change = async (next: Shop) => {
    store.takeShop(next)
    await parts.recordSuspects()
    const inForce = await withOffsetsInForce(next, store)
    await monitor.change(live => changeShop(live, shop, inForce, store, parts.clock()))
    file = next
    ingest.change(shop)
    beside.setShop(next)
  }

  return {
    file: () => file,
    take: read =>
      inTurn(async () => {
        if ('problems' in read) {
          const named = read.problems.map(problem => ({ ...problem, file: basename(problem.file) }))
          refuse(describeProblems(read.problems), undefined, describeProblems(named))
          return
        }
        monitor.setShopProblem(null)
        if (JSON.stringify(read.shop) === JSON.stringify(file)) {
          log.info('The shop file says what is in force already.')
          return
        }
        try {
          await change(read.shop)
          log.info(
            `The shop file has changed and is in force: ${shop.machines.length} machines, ${shop.sensors.length} sensors.`,
          )
        } catch (error) {
          if (error instanceof StoreError) refuse(error.message)
          else refuse('The changed shop file could not take effect; the log of the service says why.', error)
        }
      }),
  }
}

/**
 * Tells when a file has changed and is left alone again. It asks for the file by its name, again and again: so it does not
 * matter whether an editor writes into it or puts another one in its place, nor on what kind of disk it lies.
 *
 * @returns what ends it
 */
export const watchForChange = (path: string, changed: () => void): (() => void) => {
  let timer: NodeJS.Timeout | undefined
  const look = () => {
    clearTimeout(timer)
    timer = setTimeout(changed, atRest)
  }
  watchFile(path, { interval: lookEvery }, look)
  return () => {
    clearTimeout(timer)
    unwatchFile(path, look)
  }
}
