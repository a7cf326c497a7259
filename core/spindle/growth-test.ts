import { z } from 'zod'
import { metres, seconds } from '../quantities.js'

/** most steps and readings of one test: enough for more than a day by hand, and for hours with a probe */
const most = { steps: 100, readings: 20_000 }

const spindleStep = z
  .object({
    speed: z.number().nonnegative().describe('1/s; 0 stands for a spindle at rest'),
    duration: seconds.positive(),
  })
  .meta({ id: 'SpindleStep' })
/** The spindle at one speed for a while. */
export type SpindleStep = z.infer<typeof spindleStep>

export const growthTest = z
  .object({
    steps: z.array(spindleStep).min(1).max(most.steps).describe('one after another, from a cold spindle'),
    readings: z
      .array(z.object({ at: seconds.nonnegative().describe('s since the first step began'), growth: metres }))
      .max(most.readings)
      .describe('rising in time; positive = the spindle is longer'),
    toolLength: metres.positive().nullable().describe('m; of the tool or test bar that was measured at'),
    indicatorHeight: metres.nullable().describe('m above the table'),
    resolution: metres.nonnegative().describe('m; step of the reading, 0 if unknown'),
  })
  .superRefine(({ steps, readings }, context) => {
    const end = steps.reduce((sum, { duration }) => sum + duration, 0)
    const wrong = (path: (string | number)[], message: string) => context.addIssue({ code: 'custom', path, message })
    readings.forEach(({ at }, i) => {
      if (at > end) wrong(['readings', i, 'at'], `${at} s is after the last step, which ends at ${end} s`)
      if (i > 0 && at < readings[i - 1]!.at) wrong(['readings', i, 'at'], `${at} s comes before the reading above it`)
    })
  })
  .meta({ id: 'GrowthTest' })
/** A growth test of a spindle: what was run and what was read. */
export type GrowthTest = z.infer<typeof growthTest>
