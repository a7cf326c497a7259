import { z } from 'zod'
import { celsius, numberOrNull, time } from '../quantities.js'
import { reason } from '../reason.js'

const machineHeating = z.object({
  machine: z.string(),
  state: z
    .enum(['start', 'any time', 'too late', 'not by heating', 'not set back', 'seen too seldom', 'unknown'])
    .describe(
      'start: the heating must come on at `start`, likely only at the goal; any time: it is fit by then whenever the heating comes on, also to be safe; too late: it ' +
        'will not be fit by then even if the heating came on at once; not by heating: in air as it is usually heated it is not ' +
        'fit either; not set back: its air has shown no setback; seen too ' +
        'seldom: it has shown some, too few to learn from; unknown: a node is not known now',
    ),
  start: z
    .object({ earliest: time, likely: time, latest: time })
    .nullable()
    .describe('ms since 1970 UTC; earliest: to be safe, with the uncertainty of what is predicted'),
  setBack: time
    .nullable()
    .describe(
      'ms since 1970 UTC; when the heating is expected to be set back; null: it has come on for the goal already',
    ),
  usual: time.nullable().describe('ms since 1970 UTC; when the heating usually comes on for such a day'),
  waiting: numberOrNull(
    's; how long after the goal it becomes fit if the heating comes on as usual; null: not within twelve hours',
  ),
  degreeHours: numberOrNull(
    'K·h; what the air would be kept from falling by, were the heating not set back until the start',
  ),
  air: z.object({ set: celsius, setBack: celsius }).nullable().describe('°C it goes to when heated, and when set back'),
  setbacks: z.number().describe('how many were seen in the last weeks'),
  reason: reason.nullable().describe('why it is unknown'),
})
/** When the heating must come on for one machine. */
export type MachineHeating = z.infer<typeof machineHeating>

export const heatingAnswer = z
  .object({
    at: time,
    goal: time.describe('ms since 1970 UTC; when machines are to be fit'),
    shifts: z.array(time).describe('ms since 1970 UTC; when shifts begin that can be asked for'),
    workClass: z.string(),
    machines: z.array(machineHeating).describe('the one that needs the heating first, first'),
  })
  .meta({ id: 'HeatingStart' })
/** When the heating must come on so that machines are fit by a goal. */
export type HeatingAnswer = z.infer<typeof heatingAnswer>
