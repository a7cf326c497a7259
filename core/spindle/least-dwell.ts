import { type Cut, changesWithin, fadedTo, type Ran, runOn, stillToGo, type Ways, waysToGo } from './dwell.js'

/** Between which the growth of each part lies, m. */
interface Between {
  low: readonly number[]
  high: readonly number[]
}

/** What the search knows before it begins: the tools, and from where they may begin. */
export interface Laid {
  cuts: readonly Cut[]
  atRest: Ran
  /** s */
  change: number
  /** index of the tool that is in the spindle already */
  loaded: number | undefined
  /** m; growth of each part at the start */
  start: readonly number[]
  /** for each tool those that must come before it, a bit each */
  needed: readonly number[]
}

const rested = ({ atRest, change }: Laid, { low, high }: Between): Between => ({
  low: runOn(atRest, low, change),
  high: runOn(atRest, high, change),
})

/**
 * Least dwell from anywhere between, s. From first to last moment of the cut growth must change by no more than is allowed;
 * that change is the sum of those of the parts, each largest at one end.
 */
const leastDwell = (cut: Cut, { low, high }: Between): number => {
  const [fromLow, fromHigh] = [low, high].map(end => changesWithin(waysToGo(cut, end), cut.cutting)) as [Ways, Ways]
  if (stillToGo(fromLow, 0) > cut.allowed) return crossing(fromLow, 1, cut.allowed)
  return stillToGo(fromHigh, 0) < -cut.allowed ? crossing(fromHigh, -1, cut.allowed) : 0
}

/** When a sum of two parts, with a sign, comes down to what is allowed, s from now, rounded down: it does so only once. */
const crossing = (changes: Ways, sign: 1 | -1, allowed: number): number => {
  let [before, after] = [0, fadedTo(allowed, changes)]
  if (changes.every(({ way }) => sign * way >= 0)) return after
  while (after - before > 0.1) {
    const middle = (before + after) / 2
    if (sign * stillToGo(changes, middle) > allowed) before = middle
    else after = middle
  }
  return before
}

/** Longest dwell from anywhere between, s: each part as far from its target as it may be, and none against another. */
const mostDwell = (cut: Cut, { low, high }: Between): number => {
  const [fromLow, fromHigh] = [low, high].map(end => changesWithin(waysToGo(cut, end), cut.cutting)) as [Ways, Ways]
  return fadedTo(
    cut.allowed,
    fromLow.map(({ way, rate }, part) => {
      const other = fromHigh[part]!
      return { way: Math.max(Math.abs(way), Math.abs(other.way)), rate: Math.min(rate, other.rate) }
    }),
  )
}

/** Where dwell and cut lead from anywhere between. Growth of a part never overtakes that of the same part from further on. */
const through = (cut: Cut, between: Between): Between => {
  const [soon, late] = [leastDwell(cut, between) + cut.cutting, mostDwell(cut, between) + cut.cutting]
  const { low, high } = between
  const { targets } = cut
  const [lowSoon, lowLate, highSoon, highLate] = [
    runOn(cut, low, soon),
    runOn(cut, low, late),
    runOn(cut, high, soon),
    runOn(cut, high, late),
  ]
  return {
    low: low.map((x, part) => (x <= targets[part]! ? lowSoon : lowLate)[part]!),
    high: high.map((x, part) => (x >= targets[part]! ? highSoon : highLate)[part]!),
  }
}

/** Where each part may be, whatever was done, but for one tool. */
const hull = ({ start, cuts }: Laid, but: number): Between => {
  const reached = (extreme: (a: number, b: number) => number) =>
    start.map((x, part) =>
      cuts.reduce((sum, { targets }, i) => (i === but ? sum : extreme(sum, targets[part]!)), extreme(0, x)),
    )
  return { low: reached(Math.min), high: reached(Math.max) }
}

/** What all tools that are left must dwell at least, s, when some are done (a bit each) and one of them was the last. */
type LeastOfRest = (done: number, last: number) => number

/** Each tool counts by itself, whatever comes before it: for any number of tools. */
export const leastOfEach = (laid: Laid): LeastOfRest => {
  const { cuts, needed } = laid
  // only rest and the other tools drew the spindle before
  const left = cuts.map((cut, last) => rested(laid, through(cut, rested(laid, hull(laid, last)))))
  const least = cuts.map((cut, tool) =>
    left.reduce(
      (low, between, last) =>
        last === tool || needed[last]! & (1 << tool) ? low : Math.min(low, leastDwell(cut, between)),
      Number.POSITIVE_INFINITY,
    ),
  )
  return done => least.reduce((sum, own, tool) => (done & (1 << tool) ? sum : sum + own), 0)
}

/** All ways to have done the same tools, with the same one last, taken together. */
interface Stage {
  done: number
  last: number
  low: number[]
  high: number[]
  /** s; least dwell of the ways that lead here */
  dwell: number
  /** s; least dwell of the ways that lead on to the end */
  rest: number
  next: { own: number; to: Stage }[]
}

/** passes; each narrows what the one before has found, the last ones by little */
const passes = 3

/**
 * Tools that are done, and which was the last, bound between which the spindle then is; from that follows what each next one
 * must dwell at least (dynamic programming over sets of tools: Held & Karp 1962, J. SIAM 10, 196; states taken together:
 * Christofides, Mingozzi & Toth 1981, Networks 11, 145). Ways that cannot come below a limit are left out, which narrows the
 * bounds of the others in the next pass.
 *
 * @param limit s; dwell of an order that is known
 * @returns infinite where no way on comes below the limit
 */
export const leastBySets = (laid: Laid, limit: number): LeastOfRest => {
  let known: LeastOfRest = () => 0
  for (let pass = 0; pass < passes; pass++) {
    const layers = stagesBelow(laid, limit, known)
    const found = new Map<number, number>()
    for (const layer of layers.reverse())
      for (const stage of layer) {
        if (stage.done !== 2 ** laid.cuts.length - 1)
          stage.rest = stage.next.reduce(
            (least, { own, to }) => Math.min(least, own + to.rest),
            Number.POSITIVE_INFINITY,
          )
        found.set(keyOf(stage.done, stage.last), stage.rest)
      }
    known = (done, last) => found.get(keyOf(done, last)) ?? Number.POSITIVE_INFINITY
    if (layers.at(-1)![0]!.rest >= limit) break
  }
  return known
}

const keyOf = (done: number, last: number): number => done * 32 + last

/** All stages that lie on ways which may come below the limit, by how many tools are done. */
const stagesBelow = (laid: Laid, limit: number, known: LeastOfRest): Stage[][] => {
  const { cuts, needed, start, loaded } = laid
  const n = cuts.length
  const first: Stage = { done: 0, last: n, low: [...start], high: [...start], dwell: 0, rest: 0, next: [] }
  const layers = [[first]]
  for (let count = 0; count < n; count++) {
    const layer = new Map<number, Stage>()
    for (const stage of layers[count]!) {
      const arrived = rested(laid, stage)
      for (let tool = 0; tool < n; tool++) {
        if (stage.done & (1 << tool) || (needed[tool]! & stage.done) !== needed[tool]!) continue
        const done = stage.done | (1 << tool)
        const least = known(done, tool)
        if (stage.dwell + least >= limit) continue
        // a tool that is in the spindle already needs no change
        const from = count === 0 && tool === loaded ? stage : arrived
        const own = leastDwell(cuts[tool]!, from)
        const dwell = stage.dwell + own
        if (dwell + least >= limit) continue
        const { low, high } = through(cuts[tool]!, from)
        const key = keyOf(done, tool)
        let to = layer.get(key)
        if (!to) {
          to = { done, last: tool, low: [...low], high: [...high], dwell, rest: 0, next: [] }
          layer.set(key, to)
        } else {
          to.dwell = Math.min(to.dwell, dwell)
          to.low = to.low.map((x, part) => Math.min(x, low[part]!))
          to.high = to.high.map((x, part) => Math.max(x, high[part]!))
        }
        stage.next.push({ own, to })
      }
    }
    layers.push([...layer.values()])
  }
  return layers
}
