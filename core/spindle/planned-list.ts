import { z } from 'zod'
import { metres, seconds, time } from '../quantities.js'
import { armAnswer, armErrors, type HeadTilt } from './arms.js'
import { axisWarmUp } from './axis-warm-up.js'
import { bestOrder } from './best-order.js'
import type { SpindleModel } from './fit.js'
import type { GrowthTest, SpindleStep } from './growth-test.js'
import { cold, type Law, partsAfter, spindleOf, total } from './law.js'
import { predictGrowth } from './predict.js'
import { changeBefore, type Plan, plan, plannedCut, type ToolJob, toolJob } from './tool-plan.js'
import { type WarmUpSchedule, warmUp, warmUpLimits, warmUpSchedule } from './warm-up.js'

const spindleStart = z
  .discriminatedUnion('kind', [
    z.object({ kind: z.literal('cold') }).describe('at rest for hours'),
    z
      .object({
        kind: z.literal('ran'),
        speed: z.number().positive().describe('1/s'),
        duration: seconds.positive().describe('s; so long at that speed, from cold'),
        rest: seconds.nonnegative().describe('s; and so long at rest since'),
      })
      .describe('it was running'),
    z
      .object({ kind: z.literal('grown'), growth: metres.describe('m; its parts share it as when it is warm') })
      .describe('as much is known of it, by its speed so far for instance'),
  ])
  .meta({ id: 'SpindleStart' })
/** What a spindle did before a job, as somebody states it. */
export type SpindleStart = z.infer<typeof spindleStart>

export const toolListEntry = z.object({
  name: z.string().min(1).max(120).describe('of the job'),
  job: toolJob,
  start: spindleStart,
  warmUp: warmUpLimits
    .nullable()
    .describe('the spindle is warmed up for the first tool of the list, which then stays first; null: it is not'),
  tilt: z.number().nonnegative().nullable().describe('m/m; tilt of the head as somebody states it; null: nobody does'),
  workHeight: metres.nullable().describe('m above the table, where the tools cut; null where nobody says'),
})
/** A job's tools as they are planned on a machine. */
export type ToolListEntry = z.infer<typeof toolListEntry>

export const toolList = toolListEntry
  .extend({
    id: z.number(),
    machine: z.string(),
    enteredAt: time,
    changedAt: time.optional().describe('ms since 1970 UTC; when it was changed last'),
    by: z.string().describe('who entered it, or changed it last'),
    note: z.string(),
  })
  .meta({ id: 'ToolList' })
/** A tool list on record. */
export type ToolList = z.infer<typeof toolList>

const halfBand = metres.describe('m; half of the 90 % band')
const orderedPlan = plan.extend({
  cuts: z.array(
    plannedCut.extend({ halfBand: halfBand.describe('m; half of the 90 % band, in the middle of the cut') }),
  ),
  course: z
    .array(z.object({ at: seconds.describe('s since the start of the job'), growth: metres, halfBand }))
    .describe('growth over the job'),
})
/** A plan with what its growth may differ by. */
export type PlanInOrder = z.infer<typeof orderedPlan>

export const toolPlanAnswer = z
  .object({
    list: toolList,
    test: z
      .object({ id: z.number(), at: time, fits: z.boolean().describe('false: not good enough to plan with') })
      .nullable()
      .describe('the growth test that it stands on; null where there is none, and then no answer'),
    answer: z
      .object({
        atStart: metres.describe('m; growth when the first tool goes in, after a warm-up where there is one'),
        warmUp: warmUpSchedule.nullable(),
        given: orderedPlan,
        best: orderedPlan.describe('the order with the least dwell that was found; the given one where none has less'),
        atLeast: seconds.describe('s; no allowed order needs less dwell in all'),
        exact: z.boolean().describe('whether every allowed order was looked at or ruled out'),
        arms: armAnswer.nullable().describe('null where no tilt is stated, and none can be computed'),
      })
      .nullable(),
    axes: z.array(axisWarmUp),
  })
  .meta({ id: 'ToolPlanAnswer' })
/** What is answered for a tool list. */
export type ToolPlanAnswer = z.infer<typeof toolPlanAnswer>

/** points of a curve over a whole job */
const points = 160

const stepsBefore = (start: SpindleStart): SpindleStep[] =>
  start.kind === 'ran'
    ? [
        { speed: start.speed, duration: start.duration },
        { speed: 0, duration: start.rest },
      ]
    : []

const lengthOf = (steps: readonly SpindleStep[]): number => steps.reduce((sum, { duration }) => sum + duration, 0)

/** What the spindle does in a plan: at rest for a change, at a tool's speed for its dwell and its cut. */
const stepsOf = (job: ToolJob, { cuts }: Plan): SpindleStep[] =>
  cuts.flatMap(({ tool, dwell }, index) => [
    { speed: 0, duration: changeBefore(job, tool, index) },
    { speed: job.tools[tool]!.speed, duration: dwell + job.tools[tool]!.cutting },
  ])

/**
 * A plan with the bands of its growth: all that the spindle did before is predicted with it as one.
 *
 * @param from m; growth of each part before all that
 */
const withBands = (
  model: SpindleModel,
  job: ToolJob,
  found: Plan,
  before: readonly SpindleStep[],
  from: readonly number[],
): PlanInOrder => {
  const steps = [...before, ...stepsOf(job, found)].filter(({ duration }) => duration > 0)
  const begun = lengthOf(before)
  let end = begun
  const middles = found.cuts.map(({ tool, dwell }, index) => {
    const { cutting } = job.tools[tool]!
    end += changeBefore(job, tool, index) + dwell + cutting
    return end - cutting / 2
  })
  const even = Array.from({ length: points + 1 }, (_, i) => begun + (found.duration * i) / points)
  const at = [...new Set([...even, ...middles])].sort((a, b) => a - b)
  const growth = predictGrowth(model, steps, at, from)
  const bandAt = new Map(growth.map(each => [each.at, each.halfBand]))
  return {
    ...found,
    cuts: found.cuts.map((cut, i) => ({ ...cut, halfBand: bandAt.get(middles[i]!)! })),
    course: growth.map(each => ({ at: each.at - begun, growth: each.growth, halfBand: each.halfBand })),
  }
}

/** The fastest that the spindle turns in a list, 1/s. */
export const fastestOf = ({ job }: Pick<ToolListEntry, 'job'>): number =>
  Math.max(...job.tools.map(({ speed }) => speed))

/** m; growth of each part of a spindle when a list begins, before any warm-up. */
const startOf = (
  law: Law,
  { start }: Pick<ToolListEntry, 'start'>,
): { from: readonly number[]; state: readonly number[] } => {
  const spindle = spindleOf(law)
  const from = start.kind === 'grown' ? law.shares.map(share => share * start.growth) : cold(spindle)
  const state = stepsBefore(start).reduce<readonly number[]>(
    (parts, { speed, duration }) => partsAfter(spindle, parts, speed, duration),
    from,
  )
  return { from, state }
}

/**
 * The warm-up for the first tool of a list.
 *
 * @returns null where the list asks for none
 * @throws RangeError when it may not reach the tool's speed
 */
export const firstWarmUp = (law: Law, list: ToolListEntry): WarmUpSchedule | null =>
  list.warmUp && warmUp(law, list.job.tools[0]!, list.warmUp, startOf(law, list).state)

/**
 * Plans a tool list on a spindle: in the given order and in the best one that is allowed, after a warm-up for its first tool
 * where one is wanted, and with what a tilt of the head makes of unlike lengths.
 *
 * @param test  what the model comes from
 * @param tilts of the machine's head, computed; what is stated counts before them
 * @throws RangeError when the given order breaks what must come first, or the warm-up may not reach the first tool's speed
 */
export const planToolList = (
  model: SpindleModel,
  list: ToolListEntry,
  test: Pick<GrowthTest, 'toolLength' | 'indicatorHeight'>,
  tilts: readonly HeadTilt[],
): NonNullable<ToolPlanAnswer['answer']> => {
  const { law } = model
  const before = stepsBefore(list.start)
  const { from, state: started } = startOf(law, list)
  const warming = firstWarmUp(law, list)
  const job: ToolJob = warming
    ? {
        ...list.job,
        loaded: 0,
        before: [...list.job.before, ...list.job.tools.slice(1).map((_, i): [number, number] => [0, i + 1])],
      }
    : list.job
  const state = warming?.state ?? started
  const { given, best, atLeast, exact } = bestOrder(law, job, undefined, state)
  const history = [...before, ...(warming?.steps ?? [])]
  const largest = tilts.reduce<HeadTilt | null>(
    (most, tilt) => (most && Math.abs(most.slope) >= Math.abs(tilt.slope) ? most : tilt),
    null,
  )
  const slope = list.tilt ?? largest?.slope
  return {
    atStart: total(state),
    warmUp: warming,
    given: withBands(model, job, given, history, from),
    best: withBands(model, job, best, history, from),
    atLeast,
    exact,
    arms:
      slope === undefined
        ? null
        : {
            slope: Math.abs(slope),
            from: list.tilt !== null ? 'stated' : largest!.sinceDatum ? 'since datum' : 'now',
            axis: list.tilt === null ? largest!.axis : null,
            ...armErrors(list.job.tools, 0, slope, test, list.workHeight),
          },
  }
}
