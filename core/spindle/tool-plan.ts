import { z } from 'zod'
import { metres, seconds } from '../quantities.js'
import { cutsOf, dwellFor, extremes, ranAt, rangeWithin, runOn, type Ways, waysToGo } from './dwell.js'
import { type Law, spindleOf, total } from './law.js'

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
    change: seconds.nonnegative().describe('s; spindle at rest before each tool'),
    loaded: z
      .number()
      .int()
      .nonnegative()
      .optional()
      .describe('index of a tool that is in the spindle at the start: it needs no change when it comes first'),
  })
  .superRefine(({ tools, before, loaded }, context) => {
    if (loaded !== undefined && loaded >= tools.length)
      context.addIssue({ code: 'custom', path: ['loaded'], message: 'names a tool that is not in the list' })
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

/** s; how long the spindle stands still before the tool at this index of an order */
export const changeBefore = ({ change, loaded }: ToolJob, tool: number, index: number): number =>
  index === 0 && tool === loaded ? 0 : change

export const plannedCut = z
  .object({
    tool: z.number().describe("index in the job's list of tools"),
    arriving: metres.describe('m; growth after the change of tools'),
    starting: metres.describe('m; growth at the start of the cut, after the dwell'),
    ending: metres.describe('m; growth at its end'),
    least: metres.describe('m; least growth within the cut'),
    most: metres.describe('m; most growth within the cut'),
    steady: metres.describe('m; where growth would go if the tool ran on'),
    allowed: metres.describe('m; how much growth may change within the cut'),
    dwell: seconds.describe(
      "s; out of the cut at the tool's speed, until what still changes within the cut is allowed. Not rounded",
    ),
    offset: metres.describe(
      'm; add to the tool’s length after the dwell: middle of what the cut sees. What remains is half of `most` less `least`',
    ),
    withoutDwell: z
      .object({
        offset: metres.describe('m; likewise, without the dwell'),
        remaining: metres.describe('m; what may then remain to either side'),
        probing: z
          .array(seconds)
          .describe(
            's into the cut, rounded down; the first at its start. Between two of them growth changes by no more than is allowed',
          ),
        enough: z
          .boolean()
          .describe(
            'false when growth runs so fast that probing even once a second would not do: then only a dwell helps',
          ),
      })
      .describe('when the tool is not to dwell; the tools before it did'),
  })
  .meta({ id: 'PlannedCut' })
/** One tool in a plan. */
type PlannedCut = z.infer<typeof plannedCut>

export const plan = z
  .object({
    cuts: z.array(plannedCut).describe('in their order'),
    dwell: seconds.describe('s; all dwells together'),
    duration: seconds.describe('s; from start to end, with dwells, cuts and changes'),
    untested: z
      .array(z.string())
      .describe('names of tools that turn faster than any speed tested: nothing measured stands behind their figures'),
  })
  .meta({ id: 'ToolPlan' })
/** The tools in one order. */
export type Plan = z.infer<typeof plan>

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
 * @param start m; growth of each part when the first tool goes in; its change counts too, unless it is in already
 */
export const planOrder = (law: Law, job: ToolJob, order: readonly number[], start: readonly number[]): Plan => {
  const spindle = spindleOf(law)
  const cuts = cutsOf(spindle, job)
  const atRest = ranAt(spindle, 0)
  let state = start
  let duration = 0
  const planned = order.map((tool, index): PlannedCut => {
    const cut = cuts[tool]!
    const { cutting, allowed } = cut
    const change = changeBefore(job, tool, index)
    const arrived = runOn(atRest, state, change)
    const dwell = dwellFor(cut, arrived)
    const begun = runOn(cut, arrived, dwell)
    const ways = waysToGo(cut, arrived)
    const steady = total(cut.targets)
    const [least, most] = extremes(ways, dwell, dwell + cutting).map(x => steady + x) as [number, number]
    const [low, high] = extremes(ways, 0, cutting)
    state = runOn(cut, begun, cutting)
    duration += change + dwell + cutting
    return {
      tool,
      arriving: total(arrived),
      starting: total(begun),
      ending: total(state),
      least,
      most,
      steady,
      allowed,
      dwell,
      offset: (least + most) / 2,
      withoutDwell: {
        offset: steady + (low + high) / 2,
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
