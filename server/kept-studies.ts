import type { Shop } from '../core/shop.js'
import { askedBeside } from './http/plugins/costly.js'
import type { Logger } from './log.js'
import type { Monitor } from './monitor/index.js'
import type { Store } from './store/store.js'
import { setbacksAt, setbacksPath } from './studies/heating/setbacks.js'
import { finestClass, heatingFor } from './studies/heating/start.js'
import { keepByQuarter } from './studies/morning/kept.js'
import { nightStudy } from './studies/morning/night.js'
import { spindleOfTests, spindleTestsOf } from './studies/spindle/spindle-tests.js'
import type { BesideWorker } from './worker/index.js'

/** What looks at the past and is asked for often: computed on the thread, and kept where it costs much. */
export const keptStudies = (
  { shop, store, monitor, beside }: { shop: Shop; store: Store; monitor: Monitor; beside: BesideWorker },
  clock: () => number,
  isFilled: () => boolean,
  log: Logger,
) => {
  const asked = <T>(path: string, here: () => Promise<T>) => askedBeside({ beside, clock }, path, here)
  const kept = <T>(compute: () => Promise<T>, failed: string) =>
    keepByQuarter(compute, clock, isFilled, error => log.error({ err: error }, failed))
  const night = kept(
    () => asked('/api/morning/night', () => nightStudy({ shop, store }, clock())),
    'the night could not be looked back on',
  )
  const heating = kept(
    async () =>
      heatingFor(
        { shop, monitor },
        finestClass(shop),
        async machine => {
          const here = async () => ({ setbacks: await setbacksAt({ shop, store }, machine, clock()) })
          return (await asked(setbacksPath(machine.id), here)).setbacks
        },
        clock(),
      ),
    'when the heating must come on could not be found',
  )
  return {
    night,
    heating,
    /** the fit of a spindle's tests takes a tenth of a second */
    async knownSpindle(machine: string) {
      const path = `/api/machines/${encodeURIComponent(machine)}/spindle`
      const here = async () => spindleOfTests(await spindleTestsOf(store, machine))
      return (await asked(path, here)).shown?.fit?.known ?? null
    },
    stop() {
      heating.stop()
      night.stop()
    },
  }
}
