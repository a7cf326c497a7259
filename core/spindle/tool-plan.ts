import { z } from 'zod'
import { seconds } from '../quantities.js'
import { cutsOf, dwellFor, extremes, ranAt, rangeWithin, runOn, type Ways, waysToGo } from './dwell.js'
import { type Law, spindleOf } from './law.js'

export const plannedTool = z
  .object({
    name: z.string().min(1),
    length: z.number().positive().describe('m'),
    speed: z.number().nonnegative().describe('1/s'),
    cutting: seconds.positive().describe('s; in the cut'),
    tolerance: z.number().positive().describe('m; width of the tolerance'),
    share: z.number().positive().max(1).describe('part of it that growth within the cut may use'),
  })
  .meta({ id: 'PlannedTool' })
/** A tool of a job. */
export type PlannedTool = z.infer<typeof plannedTool>

export const toolJob = z
  .object({
    tools: z.array(plannedTool).min(1).max(30),
    before: z
      .array(z.tuple([z.number().int().nonnegative(), z.number().int().nonnegative()]))
      .describe('pairs of indices into the list of tools: the first must be done before the second'),
    change: seconds.nonnegative().describe('s; spindle at rest between two tools'),
  })
  .superRefine(({ tools, before }, context) => {
    before.forEach(([first, second], i) => {
      const message =
        first >= tools.length || second >= tools.length
          ? 'names a tool that is not in the list'
          : 'names one tool twice'
      if (first >= tools.length || second >= tools.length || first === second)
        context.addIssue({ code: 'custom', path: ['before', i], message })
    })
  })
  .meta({ id: 'ToolJob' })
/** What is to be cut, with what, and what must come first. */
export type ToolJob = z.infer<typeof toolJob>

/** One tool in a plan. */
export interface PlannedCut {
  /** index in the job's list of tools */
  tool: number
  /** m; growth after the change of tools */
  arriving: number
  /** m; growth at the start of the cut, after the dwell */
  starting: number
  /** m; least and most growth within the cut */
  least: number
  most: number
  /** m; where growth would go if the tool ran on */
  heading: number
  /** m; how much growth may change within the cut */
  allowed: number
  /** s; out of the cut at the tool's speed, until what still changes within the cut is allowed. Not rounded */
  dwell: number
  /** m; add to the tool's length after the dwell: middle of what the cut sees. What remains is half of `most` less `least` */
  offset: number
  /** when the tool is not to dwell */
  withoutDwell: {
    /** m; likewise, without the dwell */
    offset: number
    /** m; what may then remain to either side */
    remaining: number
    /** s into the cut, rounded down; the first at its start. Between two of them growth changes by no more than is allowed */
    probing: number[]
    /** false when growth runs so fast that probing even once a second would not do: then only a dwell helps */
    enough: boolean
  }
}

/** The tools in one order. */
export interface Plan {
  cuts: PlannedCut[]
  /** s; all dwells together */
  dwell: number
  /** s; from start to end, with dwells, cuts and changes */
  duration: number
  /** names of tools that turn faster than any speed tested: nothing measured stands behind their figures */
  untested: string[]
}

const total = (state: readonly number[]): number => state.reduce((sum, x) => sum + x, 0)

/** s; probing times are rounded down, so that none is late: to whole minutes, below one minute to whole seconds */
const rounded = (at: number): number => (at >= 60 ? Math.floor(at / 60) * 60 : Math.floor(at))

/** Moments in the cut at which to probe, each before growth has changed by more than is allowed since the last. */
const probingTimes = (ways: Ways, cutting: number, allowed: number): { probing: number[]; enough: boolean } => {
  const probing = [0]
  for (;;) {
    const last = probing.at(-1)!
    if (rangeWithin(ways, last, cutting) <= allowed) return { probing, enough: true }
    let [good, bad] = [last, cutting]
    while (bad - good > 0.01) {
      const middle = (good + bad) / 2
      if (rangeWithin(ways, last, middle) <= allowed) good = middle
      else bad = middle
    }
    const next = rounded(good) > last ? rounded(good) : Math.floor(good)
    if (next <= last || probing.length >= most) return { probing, enough: false }
    probing.push(next)
  }
}
/** times; nobody probes more often within one cut. Judgement, no source */
const most = 100

/**
 * Plans the tools of a job in a given order.
 *
 * @param order indices into the list of tools
 * @param start m; growth of each part when the first tool goes in; its change counts too
 */
export const planOrder = (law: Law, job: ToolJob, order: readonly number[], start: readonly number[]): Plan => {
  const spindle = spindleOf(law)
  const cuts = cutsOf(spindle, job)
  const atRest = ranAt(spindle, 0)
  let state = start
  let duration = 0
  const planned = order.map((tool): PlannedCut => {
    const cut = cuts[tool]!
    const { cutting, allowed } = cut
    const arrived = runOn(atRest, state, job.change)
    const dwell = dwellFor(cut, arrived)
    const begun = runOn(cut, arrived, dwell)
    const ways = waysToGo(cut, arrived)
    const heading = total(cut.targets)
    const [least, most] = extremes(ways, dwell, dwell + cutting).map(x => heading + x) as [number, number]
    const [low, high] = extremes(ways, 0, cutting)
    state = runOn(cut, begun, cutting)
    duration += job.change + dwell + cutting
    return {
      tool,
      arriving: total(arrived),
      starting: total(begun),
      least,
      most,
      heading,
      allowed,
      dwell,
      offset: (least + most) / 2,
      withoutDwell: {
        offset: heading + (low + high) / 2,
        remaining: (high - low) / 2,
        ...probingTimes(ways, cutting, allowed),
      },
    }
  })
  const highest = law.speeds.at(-1)!
  return {
    cuts: planned,
    dwell: planned.reduce((sum, { dwell }) => sum + dwell, 0),
    duration,
    untested: job.tools.filter(({ speed }) => speed > highest).map(({ name }) => name),
  }
}
