import { z } from 'zod'
import { kelvin, time } from '../../../core/quantities.js'
import { offsetChange } from '../../../core/state.js'

const checkedSensor = z.object({
  sensor: z.string(),
  name: z.string(),
  place: z.string(),
  offset: kelvin.describe('K; in force now'),
  difference: z.number().nullable().describe('K; against the median of all, offset applied; null when it has gaps'),
  standardUncertainty: z.number().nullable().describe('K'),
  step: kelvin.describe('K; the step its readings move in'),
  stepAssumed: z.boolean().describe('its readings never changed, so that the step is a guess on the safe side'),
  significant: z.boolean().describe('further from zero than twice its standard uncertainty'),
  proposed: z.number().nullable().describe('K; the offset proposed; null when the one in force can stay'),
})
export type CheckedSensor = z.infer<typeof checkedSensor>

const stillMounted = z.object({
  sensor: z.string(),
  name: z.string(),
  beside: z.string().describe('name of the sensor of the same machine that moved like it'),
  moved: kelvin.describe('K; how far it moved against the others it was compared with'),
  correlation: z.number().describe('of both movements, 0.8 to 1'),
})

export const checkAnswer = z.object({
  from: time,
  to: time,
  drift: z.number().describe('K/h; slope of the median'),
  swing: kelvin.describe('K; highest less lowest median of a twelfth of the period'),
  still: z.boolean().describe('whether both are within the limits; corrections of no other period are accepted'),
  limits: z.object({ drift: z.number().describe('K/h'), swing: kelvin }),
  sensors: z.array(checkedSensor),
  stillMounted: z
    .array(stillMounted)
    .describe('those that moved with their own machine: they were in no box or bath, and none is accepted as if'),
})
export type CheckAnswer = z.infer<typeof checkAnswer>

const recordedChange = offsetChange.extend({ name: z.string(), inForce: z.boolean() })
export type RecordedChange = z.infer<typeof recordedChange>
export const offsetRecord = z.object({ changes: z.array(recordedChange).describe('newest first') })
