import { z } from 'zod'
import { time } from '../reason.js'

// What a shop plans to make, as it is kept and sent. SI units; times in ms since 1970 (UTC).

const size = z.number().describe('m')

const jobFeature = z.object({
  name: z.string().describe('bore, seat, thickness …; may be empty'),
  length: size.describe('m; the size that counts'),
  tolerance: size.describe('m; full width of its zone'),
  grade: z.string().optional().describe('as the drawing says it, H7 or IT6, where the tolerance came from that'),
  axis: z.string().optional().describe('id; of whichever axis is worst where not given'),
  diameter: z
    .boolean()
    .optional()
    .describe('its size is a diameter made by a radius (boring or facing head): a shift of an axis counts twice'),
})
/** One size of a part that counts. */
export type JobFeature = z.infer<typeof jobFeature>

/** Where a part was before: what its temperature is taken from. */
const partFrom = z.discriminatedUnion('kind', [
  z.object({ kind: z.literal('shop'), since: time.optional().describe('since long where not given') }),
  z.object({ kind: z.literal('outdoors'), broughtIn: time }),
  z.object({ kind: z.literal('store'), temperature: z.number().describe('°C'), broughtIn: time }),
])
export type PartFrom = z.infer<typeof partFrom>

/** How large a part is, as far as it says how long it soaks; where it is not told, the machine's usual part counts. */
const partSize = z.union([
  z.object({ mass: z.number().describe('kg') }),
  z.object({ thickness: size }),
  z.object({ diameter: size }),
])

export const plannedJob = z
  .object({
    id: z.number(),
    part: z.string().describe('name or number'),
    features: z.array(jobFeature).min(1),
    material: z.string().describe('as the table of materials or the shop file calls it'),
    machines: z.array(z.string()).min(1).describe('ids; those that can make it, the planned one first'),
    start: time.describe('ms since 1970 UTC; planned'),
    duration: z.number().describe('s'),
    share: z.number().describe('0..0.5; part of the tolerance that heat may take'),
    zeroedAt: z.enum(['job start', 'datum']),
    from: partFrom,
    size: partSize.optional(),
    speed: z
      .number()
      .optional()
      .describe(
        '1/s; the fastest that its spindle turns; what the machine or the class of work states where not given',
      ),
    tools: z.number().optional().describe('id of a tool list of the machine that it is planned on'),
    enteredAt: time,
    by: z.string().describe('who entered it; may be empty'),
  })
  .meta({ id: 'PlannedJob' })
/** What somebody plans, before it is on record. */
export const jobPlan = plannedJob.omit({ id: true, enteredAt: true, by: true })
export type JobPlan = z.infer<typeof jobPlan>

/** A job of the day's plan. */
export type PlannedJob = z.infer<typeof plannedJob>
