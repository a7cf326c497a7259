import { z } from 'zod'
import { machineMorning, night } from '../../../core/morning/index.js'
import { time } from '../../../core/quantities.js'

/** the heavy part of the morning check */
export const nightAnswer = z.object({
  night: night.nullable().describe('null where nothing is known of it'),
  machines: z.array(
    z.object({
      machine: z.string(),
      axes: machineMorning.shape.night,
      heat: z
        .array(z.object({ node: z.string(), since: time }))
        .describe('since when a body stands off what it follows by more than half of what it does now'),
    }),
  ),
  gaps: z
    .array(z.object({ sensor: z.string(), from: time, to: time }))
    .describe('without readings, of sensors that report again'),
})
