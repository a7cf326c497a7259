import {
  assess,
  combinedError,
  nominalErrors,
  type Outlook,
  outlookAhead,
  type PlannedAir,
  underPlan,
} from '../judge/index.js'
import type { WorkClass } from '../shop.js'
import type { Going, LearnedAir } from './learned.js'

/** What is asked: by when a machine is to be fit for a class. */
export interface HeatingQuestion {
  outlook: Outlook
  workClass: WorkClass
  /** percent; what the thermal error index must not exceed to become fit */
  limit: number
  /** s from now; when it is to be fit */
  goal: number
  /** s from now; when the heating is set back, below 0 while it is so already; null: it is not set back before the goal */
  setBack: number | null
  learned: LearnedAir
}

/** All times in s from now. */
interface HeatingStart {
  /**
   * when the heating must come on: at `likely` the error alone is just within the share at the goal, `earliest` is to be
   * safe, `latest` enough only if the air comes back quickly; null: no such time is left
   */
  start: { earliest: number; likely: number; latest: number } | null
  /** K·h; by how much, and for how long, the air would be kept warmer (or cooler) if it were not set back at all */
  degreeHours: number | null
}

/** s; how exactly a start is found */
const exact = 300
/**
 * s after the goal; at these moments a job must be within its share: air that is only just being heated lets nothing begin in
 * peace. Judgement, no source.
 */
const stays = [0, 1800, 3600]

/** the likely case, and what is not known moved to the limits of its 90 % interval, one at a time */
const cases = (learned: LearnedAir): LearnedAir[] => {
  const moved = (which: 'away' | 'back', what: keyof Going, by: number): LearnedAir => {
    const going = learned[which]
    const { value, half } = going[what]
    return { ...learned, [which]: { ...going, [what]: { value: value + by * half, half } } }
  }
  const both = (which: 'away' | 'back', what: keyof Going) => [moved(which, what, -1), moved(which, what, 1)]
  return [...both('back', 'to'), ...both('back', 'logTimeConstant'), ...both('away', 'to')]
}

const change = (at: number, { to, logTimeConstant }: Going): PlannedAir => ({
  at,
  temperature: to.value,
  timeConstant: Math.exp(logTimeConstant.value),
})

/** The air's plan when it is set back and the heating comes on again. @param start s from now */
const planWith = (setBack: number | null, learned: LearnedAir, start: number): PlannedAir[] => [
  ...(setBack !== null && setBack < start ? [change(Math.max(setBack, 0), learned.away)] : []),
  change(Math.max(start, 0), learned.back),
]

/** Whether a job that begins so many s ahead is within what it is granted. */
type Within = (question: HeatingQuestion, planned: Outlook, ahead: number) => boolean

/** by its error alone: as likely as not */
const likely: Within = ({ workClass }, planned, ahead) =>
  nominalErrors(outlookAhead(planned, ahead), workClass).every(
    error => combinedError(error) <= workClass.share * workClass.tolerance,
  )

/** with its uncertainty, as for a verdict */
const surely: Within = ({ workClass, limit }, planned, ahead) =>
  assess(outlookAhead(planned, ahead), workClass).counted <= limit

/** The latest moment at which the heating may come on, s from now; null where even now is too late. */
const latestStart = (question: HeatingQuestion, learned: LearnedAir, within: Within): number | null => {
  const { outlook, goal, setBack } = question
  const meets = (start: number) => {
    const planned = underPlan(outlook, planWith(setBack, learned, start))
    return stays.every(after => within(question, planned, goal + after))
  }
  let [early, late] = [Math.max(setBack ?? 0, 0), goal]
  if (!meets(early)) return null
  if (meets(late)) return late
  while (late - early > exact) {
    const middle = (early + late) / 2
    if (meets(middle)) early = middle
    else late = middle
  }
  return early
}

/**
 * When heating (or cooling) must come on so that a machine is fit for a class by a given time.
 *
 * The air is expected to fall and to come back as it did in the past; the machine follows it as its nodes do. The interval
 * moves each thing that is not known of the air to both limits of its 90 % interval while the others are as likely; to its
 * earlier side belongs what the uncertainty of the machine's error asks for, too. All that counts together as the root of
 * the sum of squares (independent causes; GUM 5.1).
 *
 * It yields after each case, which costs some ten forecasts, so that a caller can let other work in between.
 *
 * @returns s from now; `start` null where even heating that came on now would be too late
 */
export function* heatingStart(question: HeatingQuestion): Generator<void, HeatingStart> {
  const { learned, goal, setBack } = question
  const first = Math.max(setBack ?? 0, 0)
  const best = latestStart(question, learned, likely)
  yield
  let [before, after] = [0, 0]
  if (best !== null) {
    before = Math.max(best - (latestStart(question, learned, surely) ?? first), 0)
    yield
    for (const each of cases(learned)) {
      const other = latestStart(question, each, likely) ?? first
      before = Math.hypot(before, Math.max(best - other, 0))
      after = Math.hypot(after, Math.max(other - best, 0))
      yield
    }
  }
  return {
    start:
      best === null
        ? null
        : { earliest: Math.max(best - before, 0), likely: best, latest: Math.min(best + after, goal) },
    degreeHours: setBack === null ? null : held(learned, setBack, best ?? first),
  }
}

/** K·h between the level of the day and the air while it is set back: first order, integrated exactly. */
const held = ({ away, back }: LearnedAir, from: number, to: number): number => {
  const depth = Math.abs(back.to.value - away.to.value)
  const timeConstant = Math.exp(away.logTimeConstant.value)
  const length = Math.max(to - from, 0)
  return (depth * (length - timeConstant * (1 - Math.exp(-length / timeConstant)))) / 3600
}

/** s; a wait longer than this is told as such, not measured */
const longestWait = 12 * 3600

/**
 * How long the shop would likely wait after the goal if the heating came on at a given moment.
 *
 * @param start s from now
 * @returns s; 0 where it is fit by then; null where it would be more than twelve hours
 */
export const waitingAfter = (question: HeatingQuestion, start: number): number | null => {
  const { outlook, goal, setBack, learned } = question
  const planned = underPlan(outlook, planWith(setBack, learned, start))
  for (let waited = 0; waited <= longestWait; waited += 900) {
    const from = goal + waited
    if (stays.every(after => likely(question, planned, from + after))) return waited
  }
  return null
}

/** s; after so long in heated air even a bed has come to it. Judgement, no source */
const settled = 20 * 3600

/** Whether a machine would be called fit in the end, in air that is heated as usual: if not, no heating makes it so. */
export const fitOnceHeated = (question: HeatingQuestion): boolean => {
  const { outlook, learned, goal } = question
  return surely(question, underPlan(outlook, [change(0, learned.back)]), goal + settled)
}
