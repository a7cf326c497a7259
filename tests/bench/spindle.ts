import { bestOrder } from '../../core/spindle/best-order.js'
import { planOrder } from '../../core/spindle/tool-plan.js'
import { allOrders, randomJob, twoParts } from '../core/spindle/tool-jobs.js'

/** What the order of tools was found to save, and how long finding it took. */
export interface OrderFigures {
  /** min of dwell a list: as given, and at best */
  given: number[]
  best: number[]
  /** ms of the processor for ten tools, three pairs of which have an order */
  took: number[]
  /** ms of the processor for seven tools by the search, and by trying every order; the same lists */
  search: number[]
  bruteForce: number[]
}

/**
 * Over random lists of tools on one spindle that takes its time: ten tools, `lists` times, then seven against all orders.
 *
 * @param share of the tolerances that growth may use
 */
export const orderBench = (lists: number, share = 0.3): OrderFigures => {
  const drawn = (seed: number, count: number) => {
    const job = randomJob(seed, count, 3)
    return { ...job, tools: job.tools.map(tool => ({ ...tool, share })) }
  }
  // processor time: steadier than the clock on a machine that others use
  const timed = <T>(run: () => T): [T, number] => {
    const before = process.cpuUsage()
    const result = run()
    const { user, system } = process.cpuUsage(before)
    return [result, (user + system) / 1000]
  }
  // first calls are compiled on the way
  for (let seed = 0; seed < 20; seed++) bestOrder(twoParts, drawn(seed, 7))
  const figures: OrderFigures = { given: [], best: [], took: [], search: [], bruteForce: [] }
  for (let seed = 0; seed < lists; seed++) {
    const [{ given, best }, took] = timed(() => bestOrder(twoParts, drawn(seed, 10)))
    figures.given.push(given.dwell / 60)
    figures.best.push(best.dwell / 60)
    figures.took.push(took)
  }
  for (let seed = 0; seed < Math.min(lists, 20); seed++) {
    const job = drawn(seed, 7)
    figures.search.push(timed(() => bestOrder(twoParts, job))[1])
    figures.bruteForce.push(
      timed(() =>
        allOrders(job).reduce((least, order) => Math.min(least, planOrder(twoParts, job, order, [0, 0]).dwell), 1e9),
      )[1],
    )
  }
  return figures
}

/** ms below which 99 of 100 lists lie */
export const slowest = (took: readonly number[]): number =>
  [...took].sort((a, b) => a - b)[Math.floor(0.99 * took.length)]!

export const savedShare = ({ given, best }: OrderFigures): number => {
  const sum = (all: readonly number[]) => all.reduce((a, b) => a + b, 0)
  return 1 - sum(best) / sum(given)
}
