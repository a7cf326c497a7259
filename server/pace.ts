import { formatDuration } from '../core/format.js'
import type { Reading } from './ingest/reading.js'
import type { Monitor } from './monitor/monitor.js'
import { Turn } from './turns.js'

/** ms; readings wait at most so long until the machines they concern are evaluated */
const soon = 100
/** where an evaluation takes long, the next one waits so many times as long, so that most of the time is left for ingest */
const restTimes = 4
/** ms; without readings, time alone changes verdicts */
const tick = 1000
/** ms; a clock that is this much off what it was expected to show has been set */
const setBy = { back: 10_000, forward: 60_000 }
/** ms of the readings' own time between evaluations while a history is filled in: finer for what pages show at first */
const fillingStep = { recent: 60_000, before: 300_000 }
const recent = 12 * 3_600_000

/** Gives the monitor its readings and its time. */
interface Pace {
  /** ms; the monitor's time */
  now(): number
  take(readings: readonly Reading[]): void
  /** the history is filled in: from now on time is the wall clock's */
  followClock(): void
  stop(): void
}

/**
 * Time is the clock's, or, while a history is filled in, that of the newest reading; so two weeks go through the code
 * that runs live, step by step.
 *
 * Machines are evaluated in turns of the event loop: all those of a large shop would hold it for long.
 *
 * An error of the monitor is not caught here: a service that shows verdicts it can no longer compute is worse than one
 * that stops and is started again.
 *
 * @param fillingFrom ms; where the history begins; null to follow the clock at once
 * @param onSet the clock was set, forward or (negative) back, by so many ms: called before the monitor sees that time
 * @param speed how many times as fast as a real one the clock goes, where a recording is lived again
 */
export const createPace = (
  monitor: Monitor,
  clock: () => number,
  fillingFrom: number | null,
  onSet: (by: number) => void = () => undefined,
  speed = 1,
): Pace => {
  let seen: number | undefined
  let filled = fillingFrom
  let waiting: NodeJS.Timeout | undefined
  let ticking: NodeJS.Timeout | undefined
  /** ms; what the last evaluation took */
  let took = 0
  let evaluating = false
  let stopped = false

  const evaluate = async (moment: number): Promise<void> => {
    const begun = performance.now()
    const steps = monitor.advancing(moment)
    const turn = new Turn()
    evaluating = true
    // a small shop is done at once
    while (!stopped && !steps.next().done) if (turn.isOver) await turn.next()
    evaluating = false
    took = performance.now() - begun
  }

  const advance = () => {
    clearTimeout(waiting)
    waiting = undefined
    if (evaluating) {
      soonAgain()
      return
    }
    const moment = clock()
    const gone = moment - (seen ?? moment)
    seen = moment
    if (gone < -setBy.back || gone > speed * setBy.forward) onSet(gone)
    void evaluate(moment)
  }

  const soonAgain = () => {
    waiting ??= setTimeout(advance, Math.min(tick, Math.max(soon, restTimes * took)))
  }

  const takeStepwise = (readings: readonly Reading[], from: number): number => {
    const sorted = [...readings].sort((a, b) => a.at - b.at)
    let now = from
    let first = 0
    const step = clock() - from < recent ? fillingStep.recent : fillingStep.before
    while (first < sorted.length) {
      const end = (Math.floor(Math.max(sorted[first]!.at, now) / step) + 1) * step
      let next = first
      while (next < sorted.length && sorted[next]!.at < end) next++
      monitor.take(sorted.slice(first, next))
      now = Math.max(now, sorted[next - 1]!.at)
      monitor.advance(now)
      first = next
    }
    return now
  }

  const followClock = () => {
    filled = null
    advance()
    ticking ??= setInterval(advance, tick)
  }

  if (fillingFrom === null) followClock()
  else monitor.advance(fillingFrom)

  return {
    now: () => filled ?? clock(),
    take(readings) {
      if (filled !== null) {
        filled = takeStepwise(readings, filled)
        return
      }
      monitor.take(readings)
      soonAgain()
    },
    followClock,
    stop() {
      stopped = true
      clearTimeout(waiting)
      clearInterval(ticking)
    },
  }
}

/** What to say when the clock was set. @param ms how far it went at once, forward or (negative) back */
export const clockSet = (ms: number): string => {
  const far = `${formatDuration(Math.abs(ms) / 1000)} at once`
  return ms > 0
    ? `The clock went forward by ${far} (it was set, or the computer slept). What was measured before is now as old as that.`
    : `The clock went back by ${far}. Verdicts are unknown until the sensors have reported again; readings that bear later ` +
        'times stay stored. Check the time service of this computer.'
}
