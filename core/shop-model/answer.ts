import { z } from 'zod'
import { kelvin, metres, numberOrNull, time } from '../quantities.js'

export const interval = z.object({ likely: z.number(), low: z.number(), high: z.number().describe('90 % interval') })
/** A figure with its 90 % interval. */
export type Interval = z.infer<typeof interval>

const part = z
  .object({
    share: interval.describe(
      '1 − variance without it ÷ variance with it; below 0: without it the movement would have been larger. Shares need not sum to one',
    ),
    added: interval.describe(
      'what it added to the movement: standard deviation over the span, in the unit of the movement',
    ),
  })
  .describe('what a source did to one movement')
export type Part = z.infer<typeof part>

const sourceKind = z.enum(['door', 'vent', 'heat source', 'outdoors', 'own work', 'week', 'unexplained'])
export type CauseKind = z.infer<typeof sourceKind>

const cause = z.object({
  id: z
    .string()
    .describe("a source's id; `outdoors`, `own work`, `week` or `unexplained` for what is no source of the shop file"),
  kind: sourceKind,
  name: z.string().describe('as the shop calls a source; empty for the others'),
  bodies: part.describe("of the temperatures of the machine's bodies, all together; K"),
  air: part.nullable().describe('of its air; K; null for its own work'),
  growth: part.describe('of the growth of the axis where the work is held; m'),
  active: numberOrNull('0..1; part of the span in which it was open or running; null for what is neither'),
  knownBy: z
    .enum(['state', 'air beside it', 'not at all'])
    .describe(
      'what tells when it was open or running; `not at all` for a source without a usable sensor: its shares are 0',
    ),
  isRough: z
    .boolean()
    .describe('no figure of it is to be relied on: a vent, or a heat source that the air of the shop does not show'),
  group: numberOrNull('index in `inseparable`; null: it can be told from every other'),
})
export type Cause = z.infer<typeof cause>

const inseparable = z.object({
  causes: z.array(z.string()).describe('ids that moved so much together that their shares cannot be told apart'),
  alike: z.number().describe('0..1; the smallest correlation between two of them that were put together'),
  growth: part.describe('of all of them together'),
  bodies: part,
})

const response = z.object({
  of: z.enum(['air', 'growth']).describe("the machine's air, K; growth of the axis, m"),
  mean: z.array(z.number()).describe('change since the opening, at each of `minutes`'),
  low: z.array(z.number()).describe('band of no effect, 90 %: the same mean over as many moments without an opening'),
  high: z.array(z.number()),
  effect: z.boolean().describe('it left the band for at least a quarter of an hour after an opening'),
  size: z.number().describe('its largest departure from the middle of the band after the opening'),
  delay: numberOrNull('s; from the opening until it first left the band; null: it did not'),
})
const openings = z.object({
  source: z.string(),
  name: z.string(),
  count: z.number().describe('openings that were looked at'),
  from: time.describe('ms since 1970 UTC; of the days that they are of'),
  to: time,
  lasted: z.number().describe('s; median'),
  minutes: z.array(z.number()).describe('min since the opening'),
  responses: z.array(response),
})
export type Openings = z.infer<typeof openings>

const cycle = z.object({
  period: z.number().describe('s'),
  amplitude: kelvin.describe('K; half of its swing in the air at the machine'),
  chance: z.number().describe('0..1; false-alarm probability, Scargle 1982, of the air freed of its memory'),
  reaches: z
    .array(
      z.object({
        node: z.string(),
        name: z.string(),
        part: z.number().describe('0..1; first-order attenuation 1 ÷ √(1 + (2πτ/P)²)'),
        amplitude: kelvin,
      }),
    )
    .describe('bodies of the machine'),
})
export type Cycle = z.infer<typeof cycle>

export const restsOn = z.object({
  learnedAt: time.describe('ms since 1970 UTC'),
  from: time.describe('ms since 1970 UTC; the history it was learned from'),
  to: time,
  days: z.number().describe('of that history in which the air at the machine is known'),
  airExplained: z
    .number()
    .describe("0..1; how much of the variance of the machine's air over that history the model explains"),
})

export const sourcesAnswer = z
  .object({
    machine: z.string(),
    axis: z.string().nullable().describe('the one asked for, or the one that moved most; null: the machine has none'),
    from: time,
    to: time,
    cannotBeTold: z.string().nullable().describe('why nothing can be said of shares, in words; then `causes` is empty'),
    isBeingLearned: z.boolean().describe('because no model of the shop is on record yet; it will be soon'),
    restsOn: restsOn.nullable(),
    movement: z
      .object({
        bodies: kelvin.describe('K; standard deviation over the span, root mean square of all bodies'),
        air: kelvin,
        growth: metres.describe('m; standard deviation'),
        growthRange: metres.describe('m; highest minus lowest'),
      })
      .nullable(),
    causes: z
      .array(cause)
      .describe(
        'the one with the largest share of the growth first; inseparable ones where their share together belongs, what is unexplained last',
      ),
    main: z
      .array(z.string())
      .describe(
        'the causes of which one has the largest share of the growth, that cannot be told apart by their intervals or at all: one where it stands out, none where nothing does',
      ),
    answering: z
      .array(z.string())
      .describe(
        'sources that the air itself switches or leads, which are no causes: the shop’s own heating or cooling, which answers what else happens',
      ),
    inseparable: z.array(inseparable),
    shareSum: numberOrNull('sum of the shares of the growth; far from 1 where sources answer or cancel each other'),
    openings: z.array(openings).describe('mean response to the openings of each door'),
    openingsCannotBeTold: z.array(z.object({ source: z.string(), why: z.string() })),
    cycles: z.array(cycle).describe('the strongest first; none: the air shows no period'),
    cyclesCannotBeTold: z.string().nullable(),
  })
  .meta({ id: 'MachineSources' })
/** Where a machine's movement came from over a span. */
export type SourcesAnswer = z.infer<typeof sourcesAnswer>

const course = z.object({
  at: z.array(time),
  was: z.array(z.number().nullable()).describe('as it was; null where it is not known'),
  without: z.array(z.number().nullable()).describe('had the sources stayed shut or off'),
  low: z.array(z.number().nullable()).describe('90 % interval of that'),
  high: z.array(z.number().nullable()),
})

export const whatIfAnswer = z
  .object({
    machine: z.string(),
    from: time,
    to: time,
    shut: z.array(z.string()).describe('sources that would have stayed shut or off from `from` on'),
    cannotBeTold: z.string().nullable(),
    restsOn: restsOn.nullable(),
    alsoMeans: z
      .array(z.string())
      .describe('sources that moved so much together with those that the effect may be theirs'),
    isRough: z
      .boolean()
      .describe(
        'not to be relied on: a vent is among them or a heat source that the air does not show, see `causes` of where it came from',
      ),
    axes: z.array(course.extend({ axis: z.string() })).describe('growth where the work is held, m'),
    nodes: z.array(course.extend({ node: z.string() })).describe('°C'),
  })
  .meta({ id: 'WhatIfShut' })
/** The course of a machine had sources stayed shut or off. */
export type WhatIfAnswer = z.infer<typeof whatIfAnswer>
