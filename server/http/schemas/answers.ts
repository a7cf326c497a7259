import { z } from 'zod'
import { time } from '../../../core/quantities.js'
import { identification } from '../../../core/settling/index.js'
import { shopSchema } from '../../../core/shop.js'
import { classState, machineState, reason, remedy, sensorState, verdictChange } from '../../../core/state.js'

// Answers that routes put together from what core and store know; the pages read them by these types.

export const shopAnswer = z.object({
  shop: shopSchema,
  version: z.string(),
  advice: z.string(),
  writesNeedToken: z.boolean().describe('true: every write must carry the bearer token'),
})
export type ShopAnswer = z.infer<typeof shopAnswer>

const shownReason = z.intersection(
  reason,
  z.object({
    text: z.string().describe('the reason as a sentence, in the units asked for'),
    more: z.string().describe('how much of the tolerance that is, and what would change it'),
  }),
)
const shownRemedy = z.intersection(
  remedy,
  z.object({
    text: z.string().describe('what to do, as a sentence, in the units asked for'),
    more: z.string().describe('what it leaves, and what to mind'),
  }),
)
const shownClass = classState.extend({
  reasons: z.array(shownReason).describe('largest first'),
  remedy: shownRemedy.nullable().describe('the most effective one; null when fit'),
})
/** A machine's state with its reasons in words. */
export const shownMachine = machineState.extend({ classes: z.array(shownClass) }).meta({ id: 'Machine' })
export type ShownMachine = z.infer<typeof shownMachine>
export const machinesAnswer = z.object({ at: time, machines: z.array(shownMachine) })

const shownVerdict = verdictChange
  .extend({
    reason: z.string().describe('the main one as it was shown, in the units asked for; empty when there was none'),
    because: reason.nullable().describe('the same as data'),
  })
  .meta({ id: 'Verdict' })
export type ShownVerdict = z.infer<typeof shownVerdict>
export const verdictsAnswer = z.object({ verdicts: z.array(shownVerdict) })

const namedSensor = z
  .object({
    ...sensorState.shape,
    reason: z.string().describe('why it is not believed, in the units asked for; empty when it is'),
    remedy: z.string().describe('what to do about it; empty when it is believed'),
    name: z.string(),
    place: z.string().describe('where it sits, in words'),
  })
  .meta({ id: 'Sensor' })
export type NamedSensor = z.infer<typeof namedSensor>
export const sensorsAnswer = z.object({ sensors: z.array(namedSensor) })

export const coursesAnswer = z.object({
  from: time.describe('ms since 1970 UTC; where the first value begins'),
  width: z.number().describe('ms; each value is a mean over so much time'),
  courses: z.array(
    z.object({
      sensor: z.string(),
      values: z
        .array(z.number().nullable())
        .describe('°C, offset applied, to 0.01; of a state sensor the part of the readings that say open'),
    }),
  ),
})
export type CoursesAnswer = z.infer<typeof coursesAnswer>

const seriesPoint = z.object({
  at: time.describe('ms since 1970 UTC; start of the interval, or the moment of a single reading'),
  count: z.number().describe('readings in it'),
  mean: z.number().describe('°C, offset applied; for a state sensor the part of the readings that say open'),
  min: z.number(),
  max: z.number(),
})
const series = z.object({
  sensor: z.string(),
  level: z
    .enum(['reading', 'minute', 'quarter hour', 'hour'])
    .describe('of the store, from which the points were taken'),
  points: z.array(seriesPoint),
})
export type Series = z.infer<typeof series>
export const seriesAnswer = z.object({ series: z.array(series) })

const axisGrowthSeries = z.object({
  axis: z.string(),
  points: z.array(
    z.object({
      at: time.describe('ms since 1970 UTC; start of the interval'),
      atZero: z
        .number()
        .nullable()
        .describe('m; growth against the reference temperature at position 0; null where it is not known'),
      atWork: z.number().nullable().describe('m; where the work is held'),
      atTravel: z.number().nullable().describe('m; at full travel'),
      uncertainty: z
        .number()
        .nullable()
        .describe('m; standard uncertainty where the work is held, as it was believed then'),
      standIn: z
        .boolean()
        .optional()
        .describe('a node it depends on was taken from another one’s sensors, with a larger uncertainty'),
    }),
  ),
})
export type GrowthSeries = z.infer<typeof axisGrowthSeries>
export const growthAnswer = z.object({ axes: z.array(axisGrowthSeries) })

const nodeTemperatures = z.object({
  node: z.string(),
  points: z.array(
    z.object({
      at: time.describe('ms since 1970 UTC; start of the interval'),
      temperature: z.number().describe('°C'),
      lowest: z.number().describe('°C; lowest reading it was taken from'),
      highest: z.number().describe('°C'),
      uncertainty: z.number().describe('K; standard uncertainty of the temperature, as it was believed then'),
      takenFrom: z
        .enum(['stand-in', 'prediction', 'surroundings'])
        .optional()
        .describe('what the temperature was taken from; absent: from its own sensors'),
    }),
  ),
})
/** Temperatures of a node over a span. */
export type NodeTemperatures = z.infer<typeof nodeTemperatures>
export const temperaturesAnswer = z.object({ nodes: z.array(nodeTemperatures) })

const nodeIdentification = z.object({
  node: z.string(),
  configured: z.object({
    timeConstant: z.number().nullable().describe('s'),
    uncertainty: z.number().nullable().describe('relative, standard'),
  }),
  inUse: identification.nullable().describe('what forecasts use; null: what is configured'),
  newest: identification.nullable().describe('the last attempt, whatever came of it; null before the first'),
})
/** How a node settles: as configured, as used now, and the last attempt to identify it. */
export type NodeIdentification = z.infer<typeof nodeIdentification>
export const identificationsAnswer = z.object({ nodes: z.array(nodeIdentification) })

export const refusalsAnswer = z.object({
  counts: z.array(z.object({ reason: z.string(), count: z.number() })),
  samples: z.array(
    z.object({
      at: time,
      topic: z.string(),
      reason: z.string(),
      sample: z.string().describe('the beginning of the payload'),
    }),
  ),
})
export type RefusalsAnswer = z.infer<typeof refusalsAnswer>

export const unassignedAnswer = z.object({
  topics: z.array(
    z.object({
      topic: z.string(),
      name: z.string().describe("the sensor's name as the shop file's mapping reads it; empty when nothing names one"),
      count: z.number().describe('messages, or items of them, since the start of the service'),
      at: time.describe('of the newest, ms since 1970 UTC'),
      sample: z.string().describe('the beginning of the newest'),
    }),
  ),
  count: z.number().describe('on all topics together'),
  beyond: z.number().describe('messages on further topics than are kept here'),
})
export type UnassignedAnswer = z.infer<typeof unassignedAnswer>

export const storeAnswer = z.object({
  damaged: z
    .array(
      z.object({
        kind: z.enum(['readings', 'minutes', 'quarter hours', 'hours', 'journal', 'newest']),
        sensor: z.string().nullable().describe('null: cannot be told'),
        from: time.describe('ms since 1970 UTC; the span it lies in'),
        to: time,
        foundAt: time,
        remade: z.boolean().describe('made anew from finer data, so that nothing is lost'),
      }),
    )
    .describe('could not be read and was set aside; newest first'),
  moreDamaged: z.number().describe('further ones than are listed'),
  unclaimed: z
    .object({ sensors: z.array(z.string()), machines: z.array(z.string()), workClasses: z.array(z.string()) })
    .describe('ids that something is stored under and the shop file does not know, as present or as former ones'),
})
export type StoreAnswer = z.infer<typeof storeAnswer>
