import type { Shop } from '../../../core/shop.js'
import type { Logger } from '../../log.js'
import type { Store } from '../../store/store.js'
import { keptUpToDate, type UpToDate } from '../../up-to-date.js'
import type { BesideWorker } from '../../worker/index.js'
import { learnedOnThread } from '../identification/index.js'
import { sensorsOfShop } from './courses.js'

const day = 86_400_000
/** ms; where too little is known yet, it is tried again after so long */
const pause = day / 24

/** Whether the newest model of a shop is a day old, or came from other sensors. @param now ms */
export const isLearningDue = async (shop: Shop, { facts }: Pick<Store, 'facts'>, now: number): Promise<boolean> => {
  const newest = (await facts.newest('shop model')).at(-1)
  return !newest || now - newest.at >= day || newest.rests !== sensorsOfShop(shop)
}

/**
 * Keeps the model of the shop up to date: at the start when it is older than a day or from other sensors, then daily. It is learned
 * on a thread of its own, and stored here.
 *
 * @param now   ms; the monitor's time
 * @param ready false while a history is filled in
 */
export const startShopLearning = (
  shop: Shop,
  store: Pick<Store, 'facts'>,
  beside: Pick<BesideWorker, 'learn'>,
  now: () => number,
  ready: () => boolean,
  log: Pick<Logger, 'info' | 'error'>,
): UpToDate => {
  let triedAt = Number.NEGATIVE_INFINITY
  const learn = async () => {
    const moment = now()
    if (moment - triedAt < pause || !(await isLearningDue(shop, store, moment))) return
    triedAt = moment
    const model = await beside.learn(moment)
    const known = model.halls.length + model.places.length
    if (known === 0) return
    await store.facts.record('shop model', [model])
    log.info(`how the shop responds was learned for ${known} places`)
  }
  return keptUpToDate(learnedOnThread, ready, learn, error =>
    log.error({ err: error }, 'how the shop responds could not be learned; trying again later'),
  )
}
