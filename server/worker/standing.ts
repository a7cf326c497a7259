import { Readable } from 'node:stream'
import { buffer } from 'node:stream/consumers'
import type { FactKind } from '../store/fact-kinds.js'
import type { Facts } from '../store/facts.js'
import { keptUpToDate, type UpToDate } from '../up-to-date.js'
import type { BesideWorker, ThreadAnswer } from './index.js'

/** ms; readings may come in late, and what is ahead of a clock may come: an answer that is older is not given any more */
const longest = 90 * 60_000
/** ms; and one so old is asked anew before it is wanted */
const renewed = 60 * 60_000
/** ms; between two looks whether what is asked for most should be asked anew */
const every = 5000
/** answers that are kept; one of a hundred thousand parts takes some megabytes */
const most = 8

/** An answer that is kept, or under way. */
interface Standing {
  at: number
  /** id of the newest fact it could stand on */
  fact: number
  answer: Promise<Omit<ThreadAnswer, 'body'> & { body: Buffer }>
}

interface StandingWorker extends BesideWorker {
  /** asks ahead for what will be wanted, from now on, again and again as it changes */
  askAhead(url: string, wanted: () => Promise<boolean> | boolean, clock: () => number): void
}

/**
 * A worker that keeps what took seconds to answer, until something is recorded that it stands on. Who asks while it is being
 * computed waits for the same answer.
 *
 * @param stands whether the answer to a URL may be kept
 * @param kinds  of facts that change it
 */
export const withStandingAnswers = (
  worker: BesideWorker,
  facts: Pick<Facts, 'last'>,
  stands: (url: string) => boolean,
  kinds: readonly FactKind[],
): StandingWorker => {
  const known = new Map<string, Standing>()
  const looks: UpToDate[] = []

  const isCurrent = (of: Standing | undefined, now: number, age: number): of is Standing =>
    of !== undefined && of.fact === facts.last(kinds) && Math.abs(now - of.at) < age
  const renew = (url: string, now: number): Standing => {
    const asked = worker.ask(url, now).then(async ({ body, ...head }) => ({ ...head, body: await buffer(body) }))
    const made: Standing = { at: now, fact: facts.last(kinds), answer: asked }
    const forget = () => {
      if (known.get(url) === made) known.delete(url)
    }
    made.answer.then(({ status }) => status !== 200 && forget(), forget)
    known.delete(url)
    known.set(url, made)
    for (const [oldest] of known) if (known.size > most) known.delete(oldest)
    return made
  }

  return {
    ...worker,
    async ask(url, now) {
      if (!stands(url)) return worker.ask(url, now)
      const before = known.get(url)
      const { body, ...head } = await (isCurrent(before, now, longest) ? before : renew(url, now)).answer
      return { ...head, body: Readable.from([body]) }
    },
    askAhead(url, wanted, clock) {
      const look = async () => {
        if (!isCurrent(known.get(url), clock(), renewed) && (await wanted())) await renew(url, clock()).answer
      }
      // who asks for it is told why there is none
      const upToDate = keptUpToDate(
        { every },
        () => true,
        look,
        () => undefined,
      )
      looks.push(upToDate)
    },
    setShop(next) {
      known.clear()
      worker.setShop(next)
    },
    async stop() {
      for (const each of looks) void each.stop()
      await worker.stop()
    },
  }
}
