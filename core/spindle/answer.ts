import { z } from 'zod'
import { metres, numberOrNull, seconds, signature, time } from '../quantities.js'
import { growthTest } from './growth-test.js'
import { knownSpindle } from './known.js'

const speed = z.number().describe('1/s')

/** With what growth is read. */
export const readWith = z.enum(['dial indicator', 'displacement probe', 'tool-length probing'])
export type ReadWith = z.infer<typeof readWith>

export const spindleTest = z
  .object({
    id: z.number(),
    machine: z.string(),
    at: time.describe('ms since 1970 UTC; when the first step began'),
    enteredAt: time,
    ...signature,
    readWith,
    test: growthTest,
    run: numberOrNull('id of the guided test it came from; null where it was sent as a whole'),
  })
  .meta({ id: 'SpindleTest' })
/** A growth test that was run on a machine's spindle. */
export type SpindleTest = z.infer<typeof spindleTest>

const spindleWarning = z.discriminatedUnion('kind', [
  z
    .object({ kind: z.literal('too short'), speeds: z.array(speed) })
    .describe('no step at these lasted until growth was steady'),
  z.object({ kind: z.literal('outliers'), count: z.number() }).describe('readings too far off to be believed'),
  z
    .object({ kind: z.literal('does not fit'), misfit: metres })
    .describe('what the law of growth leaves undescribed, standard, is too much to plan with'),
  z.object({ kind: z.literal('late') }).describe('growth first goes the other way, or waits, as the law cannot'),
  z
    .object({
      kind: z.literal('changed'),
      since: time.describe('ms since 1970 UTC; of the earlier test'),
      speed,
      change: metres.describe('m; later less earlier'),
      halfInterval: metres,
    })
    .describe('steady growth is another than in an earlier test'),
  z.object({ kind: z.literal('cannot be fitted'), why: z.string() }),
])
/** Something that who looks at a spindle's growth must know. */
export type SpindleWarning = z.infer<typeof spindleWarning>

const unknowable = 'null where the readings tell nothing of it'
const constant = z.object({ seconds, standardError: seconds.nullable().describe(`s; ${unknowable}`) })
const steadyGrowth = z.object({
  speed,
  growth: metres.describe('m; where growth would end at this speed'),
  standardError: metres.nullable().describe(`m; ${unknowable}`),
  halfInterval: metres.nullable().describe(`m; half of the 90 % interval; ${unknowable}`),
  heating: z.array(constant).describe('s; time constants, the fast part first'),
  cooling: z.array(constant),
  settled: z.boolean().describe('whether a step at this speed came within a tenth of what it had to go'),
})

const band = metres.describe('m; half of the 90 % band')
const spindleFit = z.object({
  parts: z.union([z.literal(1), z.literal(2)]).describe('time constants that the readings ask for'),
  variation: z.enum(['alike', 'by direction', 'by speed']).describe('how time constants differ'),
  fits: z.boolean().describe('false: not good enough to plan with, see the warnings'),
  scatter: metres.describe('m; standard deviation of a reading about the fit'),
  misfit: metres.describe('m, standard; what the law does not describe'),
  steady: z.array(steadyGrowth).describe('by speed, rising'),
  known: knownSpindle.describe('what follows the spindle live'),
  readings: z
    .array(z.object({ at: seconds, growth: metres, outlier: z.boolean() }))
    .describe('from the zero that was found; outliers count for nothing'),
  overTime: z.array(z.object({ at: seconds, growth: metres, halfBand: band })).describe('the fit over the test'),
  bySpeed: z
    .array(z.object({ speed, growth: metres, halfBand: band }))
    .describe('steady growth from rest to the highest speed that was tested, monotone between tested speeds'),
})
/** What a test tells, for tables and charts. */
export type SpindleFit = z.infer<typeof spindleFit>

const change = z.object({
  speed,
  change: metres.describe('m; this test less the earlier one'),
  halfInterval: metres.describe('m; what both do not know'),
  changed: z.boolean(),
})

export const spindleAnswer = z
  .object({
    tests: z
      .array(
        spindleTest.omit({ test: true }).extend({
          steps: growthTest.shape.steps,
          readings: z.number().describe('how many'),
          toolLength: growthTest.shape.toolLength,
          indicatorHeight: growthTest.shape.indicatorHeight,
          steady: z
            .array(steadyGrowth.pick({ speed: true, growth: true, halfInterval: true }))
            .nullable()
            .describe('null where it cannot be fitted'),
          changes: z.array(change).describe('against the test before it; empty where no speed is in both'),
        }),
      )
      .describe('newest first'),
    shown: z
      .object({ test: spindleTest, fit: spindleFit.nullable(), warnings: z.array(spindleWarning) })
      .nullable()
      .describe('the newest test, or the one that was asked for; null where there is none'),
  })
  .meta({ id: 'SpindleAnswer' })
/** What is known of a machine's spindle. */
export type SpindleAnswer = z.infer<typeof spindleAnswer>
