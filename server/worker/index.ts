import { Readable } from 'node:stream'
import { Worker } from 'node:worker_threads'
import type { Identification } from '../../core/settling/index.js'
import type { Shop } from '../../core/shop.js'
import type { ShopModel } from '../../core/shop-model/index.js'
import { Refused } from '../http/refused.js'
import type { FromThread, ThreadData, ToThread } from './messages.js'

/** An answer as the thread gives it. Its body is destroyed to say that nobody reads it any more. */
export interface ThreadAnswer {
  status: number
  headers: Record<string, string>
  /** what went wrong, for the log; null when nothing of ours did */
  failure: string | null
  body: Readable
}

/** Heavy work on a thread of its own, which reads the database beside the service and cannot write. */
export interface BesideWorker {
  /**
   * Answers a GET of the HTTP interface that looks at the past.
   *
   * @param url path and query, already checked
   * @param now ms; the service's time
   * @throws Error when the thread fails
   */
  ask(url: string, now: number): Promise<ThreadAnswer>
  /**
   * Looks for every time constant that is due.
   *
   * @param now ms; the service's time
   * @param found is told each as it is found, one after another; when it fails, the rest is given up
   */
  identify(now: number, found: (found: Omit<Identification, 'id'>) => Promise<void>): Promise<void>
  /** Learns the model of the shop from the fortnight up to `now` (ms; the service's time). */
  learn(now: number): Promise<ShopModel>
  /** the shop, as its file describes it, is another from now on */
  setShop(shop: Shop): void
  stop(): Promise<void>
}

/** ms without work after which the thread is let go, and its memory with it */
const idle = 5 * 60_000
/** MB; a thread that wants more ends, and the service does not */
const mostMemory = 1024

/** the thread's program */
const entry = new URL('./thread.js', import.meta.url)

interface Waiting {
  take(message: FromThread): void
  fail(error: Error): void
}

/** with its code, by which a trouble of the database is known */
const failure = ({ why, code }: { why: string; code: string }): Error => Object.assign(new Error(why), { code })

/** to who is still waiting for an answer then; nothing has failed */
const stops = (): Refused =>
  new Refused(503, 'The service stops.', 'the service', 'Ask again when it has been started again.')

/** @param data what the thread works on; its database must exist */
export const createBesideWorker = ({ folder, shop }: ThreadData): BesideWorker => {
  let data: ThreadData = { folder, shop }
  const waiting = new Map<number, Waiting>()
  let ids = 0
  let thread: Worker | null = null
  let resting: NodeJS.Timeout | undefined

  const started = (): Worker => {
    if (thread) return thread
    const made = new Worker(entry, {
      workerData: data,
      resourceLimits: { maxOldGenerationSizeMb: mostMemory },
    })
    const over = (error: Error) => {
      if (thread === made) thread = null
      const left = [...waiting.values()]
      waiting.clear()
      for (const each of left) each.fail(error)
    }
    made.on('message', (message: FromThread) => waiting.get(message.id)?.take(message))
    made.on('error', over)
    made.on('exit', () => {
      if (thread === made) over(new Error('the thread for heavy work ended'))
    })
    thread = made
    return made
  }

  const tell = (message: ToThread) => thread?.postMessage(message)
  const abandon = (id: number) => tell({ kind: 'abandon', id })
  const begin = (message: (id: number) => ToThread, how: (id: number) => Waiting): void => {
    ids += 1
    clearTimeout(resting)
    waiting.set(ids, how(ids))
    started().postMessage(message(ids))
  }
  const done = (id: number) => {
    // an answer that failed is done with once more when its body is closed: a second timer would end work of later
    if (!waiting.delete(id) || waiting.size > 0) return
    resting = setTimeout(() => void end(), idle)
    resting.unref()
  }
  /** @param found is told one thing found after another; when it fails, the rest is given up */
  const search = <Found>(kind: 'identify' | 'learn', now: number, found: (found: Found) => Promise<void>) =>
    new Promise<void>((resolve, reject) => {
      begin(
        id => ({ kind, id, now }),
        id => {
          let told: Promise<unknown> = Promise.resolve()
          const giveUp = (error: unknown) => {
            abandon(id)
            done(id)
            reject(error)
          }
          return {
            take(message) {
              if (message.kind === 'found') {
                told = told.then(() => found(message.found as Found))
                told.catch(giveUp)
              } else if (message.kind === 'failed') giveUp(failure(message))
              // what could not be recorded has been given up above, also where the thread had ended by then
              else
                void told.then(
                  () => {
                    done(id)
                    resolve()
                  },
                  () => {},
                )
            },
            fail: reject,
          }
        },
      )
    })
  const end = async () => {
    const ending = thread
    thread = null
    clearTimeout(resting)
    for (const each of waiting.values()) each.fail(stops())
    waiting.clear()
    await ending?.terminate()
  }

  return {
    ask: (url, now) =>
      new Promise((resolve, reject) => {
        begin(
          id => ({ kind: 'question', id, url, now }),
          id => {
            let body: Readable | undefined
            const fail = (error: Error) => {
              done(id)
              reject(error)
              // an answer that was begun is broken off
              body?.destroy(error)
            }
            return {
              take(message) {
                if (message.kind === 'failed') fail(failure(message))
                else if (message.kind === 'head') {
                  // the thread holds what is not read yet
                  body = Readable.fromWeb(message.body).once('close', () => done(id))
                  resolve({ ...message, body })
                }
              },
              fail,
            }
          },
        )
      }),
    identify: (now, found) => search('identify', now, found),
    async learn(now) {
      const models: ShopModel[] = []
      await search<ShopModel>('learn', now, async model => void models.push(model))
      if (!models[0]) throw new Error('the thread learned nothing')
      return models[0]
    },
    setShop(next) {
      data = { folder, shop: next }
      tell({ kind: 'shop', id: 0, shop: next })
    },
    stop: end,
  }
}
