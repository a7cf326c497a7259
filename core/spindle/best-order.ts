import { type Cut, cutsOf, dwellFor, type Ran, ranAt, runOn } from './dwell.js'
import { cold, type Law, type Spindle, spindleOf } from './law.js'
import { type Laid, leastBySets, leastOfEach } from './least-dwell.js'
import { changeBefore, type Plan, planOrder, type ToolJob } from './tool-plan.js'

/** What comparing orders found. */
interface OrderedPlan {
  given: Plan
  /** the order with the least dwell that was found */
  best: Plan
  /** s; no allowed order needs less dwell than this in all. Equal to the best order's when the search went through */
  atLeast: number
  /** whether every allowed order was looked at or ruled out */
  exact: boolean
}

/** free tools (`freeTools`); with more of them the search may stop before it has looked at all orders */
const exactUpTo = 10
/** free tools; with more of them there are too many sets to bound each one */
const setsUpTo = 12
/** partial orders that a search looks at before it stops early */
const looks = 100_000
/** s; less is no saving */
const negligible = 1e-6

/**
 * Least total dwell over all orders that keep what must come first, by branch and bound. What a tool must wait for depends on
 * the whole way that the spindle came, so what is best for a set of tools says nothing exact of a larger one (no dynamic
 * programming over sets). A branch is left when its dwells, with the least that each remaining tool must still wait whatever
 * comes before it, reach those of the best order known. Up to 10 free tools (see `freeTools`) the search always goes through;
 * with more it may stop after 100,000 looks and then says below which total no order can lie.
 *
 * @param order the given one, indices into the list of tools; it must keep what must come first
 * @param start m; growth of each part at the beginning; cold if not given
 * @throws RangeError when the given order does not hold every tool once, or breaks a pair
 */
export const bestOrder = (
  law: Law,
  job: ToolJob,
  order: readonly number[] = job.tools.map((_, i) => i),
  start?: readonly number[],
): OrderedPlan => {
  checkOrder(job, order)
  const spindle = spindleOf(law)
  const from = start ?? cold(spindle)
  const given = planOrder(law, job, order, from)
  const search = searchOf(spindle, job, from, { order: [...order], dwell: given.dwell })
  const best = planOrder(law, job, search.order, from)
  return { given, best, atLeast: search.exact ? best.dwell : search.atLeast, exact: search.exact }
}

const checkOrder = ({ tools, before }: ToolJob, order: readonly number[]): void => {
  const rank = new Map(order.map((tool, i) => [tool, i]))
  if (rank.size !== tools.length || order.length !== tools.length || !tools.every((_, i) => rank.has(i)))
    throw new RangeError('the order must name every tool once')
  for (const [first, second] of before)
    if (rank.get(first)! > rank.get(second)!)
      throw new RangeError(
        `the order has ${tools[second]!.name} before ${tools[first]!.name}, which must come first: change the order or what must come first`,
      )
}

/** For each tool, those that must come before it, a bit each: the search compares sets of tools very often. */
const neededBefore = ({ tools, before }: ToolJob): number[] => {
  const needed = tools.map(() => 0)
  return before.reduce((all, [first, second]) => {
    all[second]! |= 1 << first
    return all
  }, needed)
}

/**
 * Tools whose place what must come first leaves open: each has another that may be done before it as well as after it.
 *
 * @returns how many there are; without any condition, all of them
 */
export const freeTools = (job: ToolJob): number => {
  const needed = neededBefore(job)
  // whatever must come before what must come before: with at most 30 tools, as many rounds do
  for (const _ of job.tools) for (const [first, second] of job.before) needed[second]! |= needed[first]!
  return job.tools.filter((_, i) =>
    job.tools.some((_, j) => j !== i && !(needed[i]! & (1 << j)) && !(needed[j]! & (1 << i))),
  ).length
}

interface Found {
  order: number[]
  /** s; in all */
  dwell: number
}

const searchOf = (spindle: Spindle, job: ToolJob, start: readonly number[], known: Found) => {
  const cuts = cutsOf(spindle, job)
  const atRest = ranAt(spindle, 0)
  const n = cuts.length
  const needed = neededBefore(job)
  let best = improved(job, cuts, atRest, start, known)
  let atLeast = Number.POSITIVE_INFINITY
  const free = freeTools(job)
  let left = free > exactUpTo ? looks : Number.POSITIVE_INFINITY
  const laid: Laid = { cuts, atRest, change: job.change, loaded: job.loaded, start, needed }
  const leastOfRest = free > setsUpTo ? leastOfEach(laid) : leastBySets(laid, best.dwell - negligible)
  const way: number[] = []

  const go = (done: number, state: readonly number[], dwell: number): void => {
    if (way.length === n) {
      if (dwell < best.dwell - negligible) best = { order: [...way], dwell }
      return
    }
    const rested = runOn(atRest, state, job.change)
    const next: { tool: number; dwell: number; bound: number; after: readonly number[] }[] = []
    for (let tool = 0; tool < n; tool++) {
      if (done & (1 << tool) || (needed[tool]! & done) !== needed[tool]!) continue
      const rest = leastOfRest(done | (1 << tool), tool)
      if (dwell + rest >= best.dwell - negligible) continue
      const cut = cuts[tool]!
      // a tool that is in the spindle already needs no change
      const arrived = way.length === 0 && tool === job.loaded ? state : rested
      const own = dwellFor(cut, arrived)
      if (dwell + own + rest >= best.dwell - negligible) continue
      next.push({ tool, dwell: dwell + own, bound: dwell + own + rest, after: runOn(cut, arrived, own + cut.cutting) })
    }
    next.sort((a, b) => a.bound - b.bound)
    for (const branch of next) {
      if (branch.bound >= best.dwell - negligible) continue
      if (left-- <= 0) {
        atLeast = Math.min(atLeast, branch.bound)
        continue
      }
      way.push(branch.tool)
      go(done | (1 << branch.tool), branch.after, branch.dwell)
      way.pop()
    }
  }
  go(0, start, 0)
  return { order: best.order, exact: atLeast === Number.POSITIVE_INFINITY, atLeast: Math.min(atLeast, best.dwell) }
}

/** An order made better by moving single tools, as long as that helps: the search starts from it and can rule out more. */
const improved = (job: ToolJob, cuts: readonly Cut[], atRest: Ran, start: readonly number[], known: Found): Found => {
  let best = known
  const n = cuts.length
  const allowed = (order: readonly number[]) =>
    job.before.every(([first, second]) => order.indexOf(first) < order.indexOf(second))
  for (let better = true; better; ) {
    better = false
    for (let from = 0; from < n; from++)
      for (let to = 0; to < n; to++) {
        const order = best.order.filter((_, i) => i !== from)
        order.splice(to, 0, best.order[from]!)
        if (!allowed(order)) continue
        const dwell = dwellOf(job, cuts, atRest, start, order)
        if (dwell < best.dwell - negligible) {
          best = { order, dwell }
          better = true
        }
      }
  }
  return best
}

const dwellOf = (
  job: ToolJob,
  cuts: readonly Cut[],
  atRest: Ran,
  start: readonly number[],
  order: readonly number[],
): number => {
  let state = start
  let sum = 0
  for (const [index, tool] of order.entries()) {
    const rested = runOn(atRest, state, changeBefore(job, tool, index))
    const dwell = dwellFor(cuts[tool]!, rested)
    sum += dwell
    state = runOn(cuts[tool]!, rested, dwell + cuts[tool]!.cutting)
  }
  return sum
}
