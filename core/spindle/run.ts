import { z } from 'zod'
import { metres, numberOrNull, seconds, signature, time } from '../quantities.js'
import { readWith } from './answer.js'
import { type GrowthTest, growthTest } from './growth-test.js'

/** most events of one guided test: a reading a minute for two days */
const mostEvents = 3000

export const spindlePlan = z
  .strictObject({
    steps: growthTest.shape.steps.describe('as planned: the last may be the spindle at rest'),
    readAt: z
      .array(seconds.nonnegative())
      .min(1)
      .max(200)
      .describe('s after a step begins, rising: when it is to be read; then at the last interval until the step ends'),
    readWith,
    sign: z.union([z.literal(1), z.literal(-1)]).describe('1: a longer spindle reads higher; -1: lower'),
    toolLength: growthTest.shape.toolLength,
    indicatorHeight: growthTest.shape.indicatorHeight,
    resolution: growthTest.shape.resolution,
    stop: z
      .strictObject({
        window: seconds.positive().describe('s'),
        part: z.number().positive().max(1),
      })
      .nullable()
      .describe(
        'a step is over before its time when growth within the last window is less than this part of what it was within ' +
          'the first window of the step; null: each step takes its time. ISO 230-3: 60 min and 0.15 (from memory)',
      ),
  })
  .meta({ id: 'SpindlePlan' })
/** How a guided growth test is to be run. */
export type SpindlePlan = z.infer<typeof spindlePlan>

const key = z.string().min(1).max(64).describe('made by whoever sends it: what comes twice counts once')
const runEvent = z.discriminatedUnion('kind', [
  z.strictObject({
    kind: z.literal('step'),
    key,
    at: time,
    step: z.number().int().nonnegative().describe('of the plan; the spindle turns at its speed from then on'),
  }),
  z.strictObject({ kind: z.literal('reading'), key, at: time, value: metres.describe('m, as it was read') }),
  z.strictObject({
    kind: z.literal('correction'),
    key,
    at: time,
    of: key,
    value: metres.nullable().describe('m; null: the reading counts for nothing'),
  }),
])
/** Something that happened in a guided test. */
export type RunEvent = z.infer<typeof runEvent>
export const runEvents = z.array(runEvent).max(mostEvents)

export const spindleRun = z
  .object({
    id: z.number(),
    machine: z.string(),
    at: time.describe('ms since 1970 UTC; when it was begun'),
    ...signature,
    plan: spindlePlan,
  })
  .meta({ id: 'SpindleRun' })
/** A guided growth test. */
export type SpindleRun = z.infer<typeof spindleRun>

export const runAnswer = z
  .object({
    at: time.describe('ms since 1970 UTC; now, by the clock that counts'),
    run: spindleRun.nullable().describe('the one that is going on; null where none is'),
    events: z.array(runEvent).describe('of it, in the order of their time'),
    probe: z
      .string()
      .nullable()
      .describe('name of the sensor whose readings come by themselves; null: they are entered'),
    last: z
      .object({ run: z.number(), test: numberOrNull('null: it was given up') })
      .nullable()
      .describe('the one that ended last, and the test it became'),
  })
  .meta({ id: 'SpindleRunAnswer' })
/** What is going on at a spindle. */
export type RunAnswer = z.infer<typeof runAnswer>

/** A reading of a guided test as it counts now. */
export interface RunReading {
  key: string
  /** ms */
  at: number
  /** of the plan; null before the spindle turned */
  step: number | null
  /** m, as read or corrected; null: it counts for nothing */
  value: number | null
  corrected: boolean
}

/** Where a guided test stands. */
interface RunState {
  /** what was run, in order of time; ms */
  begun: { step: number; at: number }[]
  /** in order of time */
  readings: RunReading[]
}

/** Events in the order of their time, what came twice once. */
const ordered = (events: readonly RunEvent[]): RunEvent[] => {
  const known = new Map<string, RunEvent>()
  for (const event of events) if (!known.has(event.key)) known.set(event.key, event)
  return [...known.values()].sort((a, b) => a.at - b.at)
}

/** Puts together what happened, in whatever order it was told. */
export const runState = (events: readonly RunEvent[]): RunState => {
  const all = ordered(events)
  const begun = all.flatMap(event => (event.kind === 'step' ? [{ step: event.step, at: event.at }] : []))
  const corrections = new Map(all.flatMap(event => (event.kind === 'correction' ? [[event.of, event.value]] : [])))
  const readings = all.flatMap((event): RunReading[] => {
    if (event.kind !== 'reading') return []
    const corrected = corrections.has(event.key)
    const during = begun.findLast(({ at }) => at < event.at) ?? null
    return [
      {
        key: event.key,
        at: event.at,
        step: during?.step ?? null,
        value: corrected ? corrections.get(event.key)! : event.value,
        corrected,
      },
    ]
  })
  return { begun, readings }
}

/**
 * When the next reading is due.
 *
 * @returns ms; null while no step has begun, or when the step takes no more
 */
export const nextReading = (plan: SpindlePlan, { begun, readings }: RunState): number | null => {
  const current = begun.at(-1)
  if (!current) return null
  const last = readings.findLast(({ at }) => at >= current.at)?.at ?? Number.NEGATIVE_INFINITY
  const { duration } = plan.steps[current.step]!
  const every = plan.readAt.at(-1)! - (plan.readAt.at(-2) ?? 0) || duration
  let due = Number.NaN
  for (let i = 0; ; i++) {
    const after = plan.readAt[i] ?? plan.readAt.at(-1)! + (i - plan.readAt.length + 1) * every
    if (after > duration) {
      // the last moment of a step tells most of where it leads
      due = current.at + duration * 1000
      return due > last + soon(plan) ? due : null
    }
    due = current.at + after * 1000
    // a reading somewhat before its time stands for it
    if (due > last + soon(plan)) return due
  }
}

/** ms; a reading so much before its time stands for it: a third of the shortest interval, at most half a minute */
const soon = ({ readAt }: SpindlePlan): number => {
  const gaps = readAt.map((at, i) => at - (readAt[i - 1] ?? 0)).filter(gap => gap > 0)
  return 1000 * Math.min(30, ...gaps.map(gap => gap / 3))
}

/** Why a step is over: its time has passed, or growth is steady by the stop rule. */
type StepOver = 'time' | 'steady'

/** @param now ms @returns null while it goes on */
export const stepOver = (plan: SpindlePlan, { begun, readings }: RunState, now: number): StepOver | null => {
  const current = begun.at(-1)
  if (!current) return null
  if (now >= current.at + plan.steps[current.step]!.duration * 1000) return 'time'
  if (!plan.stop) return null
  const { window, part } = plan.stop
  const own = readings.flatMap(({ at, value }) => (at >= current.at && value !== null ? [{ at, value }] : []))
  const last = own.at(-1)
  if (!last || last.at - current.at < 2 * window * 1000) return null
  const span = (from: number, to: number) => {
    const values = own.flatMap(({ at, value }) => (at >= from && at <= to ? [value] : []))
    return values.length < 2 ? null : Math.max(...values) - Math.min(...values)
  }
  const first = span(current.at, current.at + window * 1000)
  const latest = span(last.at - window * 1000, last.at)
  return first !== null && latest !== null && latest < part * first ? 'steady' : null
}

/**
 * The growth test that a guided test became. It ends with its last reading, for nothing is known of what came after.
 *
 * @returns null where the spindle never turned, or nothing was read since
 */
export const testOfRun = (plan: SpindlePlan, { begun, readings }: RunState): GrowthTest | null => {
  const first = begun[0]
  const end = readings.findLast(({ value }) => value !== null)?.at ?? Number.NEGATIVE_INFINITY
  if (!first || end <= first.at) return null
  const steps = begun.flatMap(({ step, at }, i) => {
    const duration = (Math.min(begun[i + 1]?.at ?? end, end) - at) / 1000
    return duration > 0 ? [{ speed: plan.steps[step]!.speed, duration }] : []
  })
  const counted = readings.flatMap(({ at, value }) => (value !== null ? [{ at, value }] : []))
  const zero = counted[0]?.value ?? 0
  return {
    steps,
    // what was read before the spindle turned is its zero
    readings: counted.map(({ at, value }) => ({
      at: Math.max(0, (at - first.at) / 1000),
      growth: plan.sign * (value - zero),
    })),
    toolLength: plan.toolLength,
    indicatorHeight: plan.indicatorHeight,
    resolution: plan.resolution,
  }
}
