import { z } from 'zod'
import { heatingAnswer } from '../heating/answer.js'
import { celsius, metres, numberOrNull, span, time } from '../quantities.js'
import { reason, verdict } from '../reason.js'
import { remedy } from '../remedy.js'
import { readyTime } from '../state.js'
import { answerKind, jobAnswer } from './answer.js'
import { plannedJob } from './planned-job.js'

// The morning check as a whole: what the page, the text and the print are made of.

/** What a line of "what to do first" is about; core/sentences makes the words. */
const todoAbout = z.discriminatedUnion('kind', [
  z.object({ kind: z.literal('sensor'), sensor: z.string() }),
  z.object({ kind: z.literal('remedy'), machine: z.string(), remedy, reason: reason.nullable() }),
  z.object({ kind: z.literal('soak'), jobs: z.array(z.number()), until: time }),
  z.object({
    kind: z.literal('spindle warm-up').describe('as the tool list of a job asks for'),
    machine: z.string(),
    list: z.number().describe('id of the tool list'),
    job: z.number(),
    duration: z.number().describe('s'),
    speed: z.number().describe('1/s; of the first tool'),
  }),
  z.object({ kind: z.literal('no levelling').describe('still settling'), machine: z.string(), until: time.nullable() }),
  z.object({ kind: z.literal('heating late'), usual: time, came: time.nullable().describe('null: not yet') }),
  z.object({ kind: z.literal('calibration'), sensor: z.string(), due: z.string() }),
])
const todo = z.object({
  by: time.nullable().describe('ms since 1970 UTC; when it must be done to count; null: now'),
  about: todoAbout,
  jobs: z.array(z.object({ job: z.number(), before: answerKind, after: answerKind, start: time.nullable() })),
})
/** A line of what to do first, and what it makes of the answers to jobs. */
export type Todo = z.infer<typeof todo>

const machineClass = z.object({
  workClass: z.string(),
  verdict,
  since: time,
  ready: readyTime.nullable(),
})

export const decision = z.object({
  machine: z.string(),
  at: time,
  kind: z.enum(['go', 'wait', 'move']),
  by: z.string().describe('initials'),
  note: z.string(),
})
/** What somebody decided for a machine in the morning. */
export type Decision = z.infer<typeof decision>

export const machineMorning = z.object({
  machine: z.string(),
  classes: z.array(machineClass),
  night: z
    .array(
      z.object({
        axis: z.string(),
        growth: metres.nullable().describe('m; from the last shift’s end to now'),
        swing: metres.nullable().describe('m; highest less lowest of it'),
        usualSwing: metres.nullable().describe('m; median of the nights of the same kind'),
      }),
    )
    .describe('by axis'),
  datum: z
    .object({
      at: time,
      holds: z.boolean().nullable().describe('null: cannot be told'),
      axis: z.string().nullable().describe('which has moved most'),
      moved: metres.nullable().describe('m since'),
      uncertainty: metres.nullable().describe('m; of that, expanded, k = 2'),
      granted: metres.nullable().describe('m; by the finest class that is zeroed at it'),
    })
    .nullable()
    .describe('null: none recorded'),
  warmUp: z.object({
    kind: z.enum(['at rest', 'warming', 'warmed up', 'not known']),
    since: time.nullable(),
    until: time.nullable(),
  }),
  decision: decision.omit({ machine: true }).nullable().describe('the last one of this day'),
})
/** A machine on the morning check. */
export type MachineMorning = z.infer<typeof machineMorning>

const line = z.object({
  at: z.array(time).describe('ms since 1970 UTC; the middle of each interval whose mean is given'),
  value: z.array(z.number().nullable()),
})
export const night = z.object({
  from: time.describe('ms since 1970 UTC; the last shift’s end'),
  to: time,
  airs: z.array(
    z.object({
      id: z.string().describe('of an area, or `shop-air`, `machine-air` or `outdoors`'),
      name: z.string(),
      course: line.describe('°C'),
      usual: z
        .object({ at: z.array(time), median: z.array(z.number()), low: z.array(z.number()), high: z.array(z.number()) })
        .nullable()
        .describe('of the nights of the same kind: median and 90 % band; null while there are too few'),
      nights: z.number(),
      swing: numberOrNull('K; highest less lowest'),
      fastest: z.object({ rate: z.number().describe('K/h'), at: time }).nullable(),
      outside: numberOrNull('s outside its limits; null where none are stated'),
    }),
  ),
  machines: z.array(
    z.object({
      machine: z.string(),
      outside: numberOrNull('s outside the limits of its surroundings; null where none are stated'),
      axes: z.array(z.object({ axis: z.string(), growth: line.describe('m; since `from`') })),
    }),
  ),
  sources: z.array(z.object({ source: z.string(), active: z.array(span) })),
  setback: z.object({ began: time.nullable(), back: time.nullable(), usualBack: time.nullable() }).nullable(),
  failed: z.array(z.object({ sensor: z.string(), from: time, to: time.nullable() })),
  unusual: z.array(
    z.discriminatedUnion('kind', [
      z.object({ kind: z.literal('heating'), back: time.nullable(), usual: time, air: celsius, usualAir: celsius }),
      z.object({
        kind: z.literal('open'),
        source: z.string(),
        for: z.number().describe('s'),
        usual: z.number().describe('s'),
        still: z.boolean(),
      }),
      z.object({ kind: z.literal('outdoors'), lowest: celsius, at: time, ofNights: z.number() }),
      z.object({ kind: z.literal('air'), name: z.string(), now: celsius, low: celsius, high: celsius }),
      z.object({
        kind: z.literal('growth'),
        machine: z.string(),
        axis: z.string(),
        amount: metres.describe('m; the swing, with the sign of the way it went'),
        usual: metres.describe('m; the usual swing'),
      }),
    ]),
  ),
})
/** The night on the morning check, beside the usual one. */
export type Night = z.infer<typeof night>

export const morningCheck = z
  .object({
    at: time,
    day: z.string().describe('ISO 8601 day, in the shop’s time zone'),
    todo: z.array(todo).max(5),
    jobs: z.array(z.object({ job: plannedJob, answer: jobAnswer })),
    machines: z.array(machineMorning),
    night: night.nullable().describe('null while nothing is stored of it, or while it is awaited'),
    nightAwaited: z.boolean().describe('true while the night is still being looked back on: ask again'),
    heating: heatingAnswer
      .nullable()
      .describe('when the heating must come on for the next shift, for the finest work class; null while not computed'),
    sensors: z.array(
      z.object({
        sensor: z.string(),
        kind: z.enum(['suspect', 'late', 'lost', 'overdue', 'gap', 'battery']),
        since: time.nullable(),
        until: time.nullable().describe('ms since 1970 UTC; when a gap was over; null for all that lasts'),
      }),
    ),
  })
  .meta({ id: 'MorningCheck' })
/** The morning check as a whole. */
export type MorningCheck = z.infer<typeof morningCheck>
