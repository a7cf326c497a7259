import { heats, type Spindle, steadyAt } from './law.js'
import type { PlannedTool, ToolJob } from './tool-plan.js'

/** A speed of a spindle: what the search asks of it very often is worked out once. */
export interface Ran {
  /** m; steady growth of each part */
  targets: number[]
  /** 1/s; rate of each part, cooling and heating */
  rates: [number, number][]
}

/** A tool at its speed. */
export interface Cut extends Ran {
  /** s */
  cutting: number
  /** m; how much growth may change within the cut */
  allowed: number
}

/** A speed made ready for the search. @param speed 1/s */
export const ranAt = (spindle: Spindle, speed: number): Ran => {
  const rate = (part: number, heating: boolean) => 1 / spindle.timeConstant(part, speed, heating)
  const targets = steadyAt(spindle, speed)
  return { targets, rates: targets.map((_, part) => [rate(part, false), rate(part, true)]) }
}

/** A tool as the search needs it. */
export const cutOf = (spindle: Spindle, { speed, cutting, tolerance, share }: PlannedTool): Cut => ({
  ...ranAt(spindle, speed),
  cutting,
  allowed: tolerance * share,
})

/** The tools of a job, in their order. */
export const cutsOf = (spindle: Spindle, { tools }: ToolJob): Cut[] => tools.map(tool => cutOf(spindle, tool))

const rateOf = ({ targets, rates }: Ran, part: number, x: number): number =>
  rates[part]![heats(x, targets[part]!) ? 1 : 0]

/**
 * Growth of each part, m, after `duration` s at a speed. The search asks millions of times, so the loop is written out.
 */
export const runOn = (ran: Ran, state: readonly number[], duration: number): number[] => {
  const after = [...state]
  for (let part = 0; part < after.length; part++) {
    const target = ran.targets[part]!
    const x = after[part]!
    after[part] = target + (x - target) * Math.exp(-duration * rateOf(ran, part, x))
  }
  return after
}

/** What each part still has to go, m, and its rate, 1/s. */
export const waysToGo = (ran: Ran, state: readonly number[]): Ways =>
  state.map((x, part) => ({ way: x - ran.targets[part]!, rate: rateOf(ran, part, x) }))

/** For each part what it still has to go, m, and its rate, 1/s. */
export type Ways = { way: number; rate: number }[]

/** The sum of what is still to go, s from now, m. */
export const stillToGo = (ways: Ways, at: number): number => {
  let sum = 0
  for (const { way, rate } of ways) sum += way * Math.exp(-rate * at)
  return sum
}

/** When growth turns round at a steady speed, s from now; none with one part, or where both go the same way. */
const turning = (ways: Ways): number | null => {
  const [a, b] = ways
  if (!a || !b || a.way * b.way >= 0 || a.rate === b.rate) return null
  const at = Math.log((-a.way * a.rate) / (b.way * b.rate)) / (a.rate - b.rate)
  return at > 0 ? at : null
}

/** Least and most of growth less its steady value between two moments (s from now), m. */
export const extremes = (ways: Ways, from: number, to: number): [number, number] => {
  const [first, last] = [stillToGo(ways, from), stillToGo(ways, to)]
  const turn = turning(ways)
  const between = turn !== null && turn > from && turn < to ? stillToGo(ways, turn) : first
  return [Math.min(first, last, between), Math.max(first, last, between)]
}

/** How much growth changes between two moments (s from now) at a steady speed, m. */
export const rangeWithin = (ways: Ways, from: number, to: number): number => {
  const [least, most] = extremes(ways, from, to)
  return most - least
}

/** What each part changes by within a cut that begins now, m, with its sign. */
export const changesWithin = (ways: Ways, cutting: number): Ways =>
  ways.map(({ way, rate }) => ({ way: way * -Math.expm1(-rate * cutting), rate }))

/**
 * When something that fades part by part, all of one sign, has come down to a size, s from now; 0 when it has already. It
 * falls and is convex, so Newton's steps come from the left and stay there.
 */
export const fadedTo = (size: number, fading: Ways): number => {
  let at = 0
  for (let round = 0; round < 60; round++) {
    let [value, slope] = [-size, 0]
    for (const { way, rate } of fading) {
      const left = Math.abs(way) * Math.exp(-rate * at)
      value += left
      slope += rate * left
    }
    const step = value / slope
    if (!(step > 1e-9 * (1 + at))) break
    at += step
  }
  return at
}

/**
 * Shortest dwell at the tool's speed after which growth changes by no more than is allowed within the cut.
 *
 * @param state m; growth of each part after the change
 * @returns s
 */
export const dwellFor = (cut: Cut, state: readonly number[]): number => {
  const ways = waysToGo(cut, state)
  const { cutting, allowed } = cut
  if (rangeWithin(ways, 0, cutting) <= allowed) return 0
  const latest = fadedTo(allowed, changesWithin(ways, cutting))
  if (ways.length === 1 || ways[0]!.way * ways[1]!.way >= 0) return latest
  // parts against each other: growth may turn round, so the first moment is looked for in small steps, then halved
  const step = Math.min(1 / Math.max(ways[0]!.rate, ways[1]!.rate) / 8, cutting / 4, latest)
  let [before, after] = [0, latest]
  for (let at = step; at < latest; at += step) {
    if (rangeWithin(ways, at, at + cutting) <= allowed) {
      after = at
      break
    }
    before = at
  }
  for (let round = 0; round < 50 && after - before > 1e-9 * after; round++) {
    const middle = (before + after) / 2
    if (rangeWithin(ways, middle, middle + cutting) <= allowed) after = middle
    else before = middle
  }
  return after
}
