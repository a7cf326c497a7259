import { z } from 'zod'
import { metres, seconds } from '../quantities.js'
import { cutOf, dwellFor, type Ran, ranAt, rangeWithin, runOn, waysToGo } from './dwell.js'
import { type Law, spindleOf, total } from './law.js'
import type { PlannedTool } from './tool-plan.js'

const mostSteps = 50

export const warmUpLimits = z
  .object({
    highest: z.number().positive().describe('1/s; no faster than this'),
    step: z.number().positive().describe('1/s; the most by which speed may rise at once, from rest too'),
    hold: seconds.nonnegative().describe('s; at least so long at a speed before it rises again'),
  })
  .refine(({ highest, step }) => highest / step <= mostSteps, {
    path: ['step'],
    message: `leads to more than ${mostSteps} steps: let speed rise by more at once`,
  })
  .meta({ id: 'WarmUpLimits' })
/** What the machine builder allows of a cold spindle. */
export type WarmUpLimits = z.infer<typeof warmUpLimits>

export const warmUpSchedule = z
  .object({
    steps: z.array(
      z.object({
        speed: z.number().describe('1/s'),
        duration: seconds,
        growth: metres.describe('m; at its end'),
        toCome: metres.describe('m; from there to where the first tool leads'),
      }),
    ),
    duration: seconds.describe('s; in all'),
    remaining: metres.describe('m; how much growth still changes within the first cut'),
    allowed: metres.describe('m; how much it may'),
    straight: seconds.describe(
      's; how long it would take at the first tool’s speed from the beginning, were there no limits',
    ),
    capped: z
      .boolean()
      .describe(
        'whether the highest speed is that of the growth test, and not the one allowed: beyond it nothing is known',
      ),
    state: z.array(z.number()).describe('m; growth of each part of the spindle at the end'),
  })
  .meta({ id: 'WarmUpSchedule' })
/** Speeds and times that bring a spindle to where its first tool may cut. */
export type WarmUpSchedule = z.infer<typeof warmUpSchedule>

type Run = { speed: number; duration: number }

/** pieces into which the time at the highest speed is cut, first coarse and then fine */
const pieces = 48
/** s; times are looked for to this */
const fine = 0.5
/** speeds between the tool's and the highest that are tried beside the steps of the way up */
const between = 6

/**
 * Warm-up before a shift: up in the largest steps and shortest holds that are allowed, some time at a speed at or above the
 * first tool's, then at the tool's own speed until what still changes within its cut is allowed. The soonest of all such
 * schedules: on a spindle whose growth rises with speed a faster speed brings any state sooner, and what it brings too much
 * of goes again at the tool's own.
 *
 * @param tool   the first one, in the spindle already; it is cut with as soon as the warm-up ends
 * @param limits as the machine builder states them; speeds beyond the tested ones are not used
 * @param start  m; growth of each part at the beginning
 * @throws RangeError when the tool turns faster than is allowed
 */
export const warmUp = (law: Law, tool: PlannedTool, limits: WarmUpLimits, start: readonly number[]): WarmUpSchedule => {
  if (tool.speed > limits.highest * (1 + 1e-9))
    throw new RangeError(
      `${tool.name} turns at ${perMinute(tool.speed)}, above the ${perMinute(limits.highest)} that the warm-up may use: check both`,
    )
  const spindle = spindleOf(law)
  const cut = cutOf(spindle, tool)
  const tested = Math.max(law.speeds.at(-1)!, tool.speed)
  const highest = Math.min(limits.highest, tested)
  const at = new Map<number, Ran>()
  const ran = (speed: number): Ran => {
    const known = at.get(speed) ?? ranAt(spindle, speed)
    at.set(speed, known)
    return known
  }
  const after = (runs: readonly Run[], from: readonly number[]) =>
    runs.reduce<readonly number[]>((state, { speed, duration }) => runOn(ran(speed), state, duration), from)

  const best = topSpeeds(tool.speed, highest, limits.step)
    .map(top => {
      const way = wayUp(top, limits)
      const risen = after(way, start)
      const settled = (time: number) => time + dwellFor(cut, runOn(ran(top), risen, time))
      const [time, sum] = top > tool.speed ? leastOf(settled) : [0, settled(0)]
      return { way, top, time, total: sum + way.length * limits.hold }
    })
    .reduce((a, b) => (b.total < a.total - fine ? b : a))
  const runs: Run[] = [...best.way, { speed: best.top, duration: best.time }]
  const own = dwellFor(cut, after(runs, start))
  const all = together([...runs, { speed: tool.speed, duration: own }])
  let state = start
  const steady = total(cut.targets)
  const steps = all.map(({ speed, duration }) => {
    state = runOn(ran(speed), state, duration)
    return { speed, duration, growth: total(state), toCome: steady - total(state) }
  })
  return {
    steps,
    duration: all.reduce((sum, { duration }) => sum + duration, 0),
    remaining: rangeWithin(waysToGo(cut, state), 0, cut.cutting),
    allowed: cut.allowed,
    straight: dwellFor(cut, start),
    capped: highest < limits.highest,
    state: [...state],
  }
}

const perMinute = (speed: number): string => `${(speed * 60).toFixed(0)} 1/min`

/** Speeds on the way up to one, each held as long as it must be. */
const wayUp = (top: number, { step, hold }: WarmUpLimits): Run[] => {
  const steps = Math.ceil(top / step - 1e-9)
  return Array.from({ length: Math.max(0, steps - 1) }, (_, i) => ({ speed: (i + 1) * step, duration: hold }))
}

/** Speeds that the warm-up may go up to: the tool's, the steps above it, and some between. */
const topSpeeds = (own: number, highest: number, step: number): number[] => {
  const speeds = [own]
  for (let i = 1; i <= between; i++) speeds.push(own + ((highest - own) * i) / between)
  for (let k = Math.ceil(own / step); k * step < highest; k++) if (k * step > own) speeds.push(k * step)
  return [...new Set(speeds)].filter(speed => speed > 0 && speed <= highest)
}

/** The time for which something that is never less than the time itself is least, and how much that is: in ever finer pieces. */
const leastOf = (of: (time: number) => number): [number, number] => {
  let [low, high] = [0, of(0)]
  let best: [number, number] = [0, high]
  while (high - low > fine) {
    const width = (high - low) / pieces
    for (let i = 0; i <= pieces; i++) {
      const time = low + i * width
      const value = of(time)
      if (value < best[1]) best = [time, value]
    }
    ;[low, high] = [Math.max(0, best[0] - width), best[0] + width]
  }
  return best
}

/** Runs of one speed after another become one; those of no length are left out. */
const together = (runs: readonly Run[]): Run[] => {
  const all: Run[] = []
  for (const { speed, duration } of runs) {
    if (duration <= 0) continue
    if (all.at(-1)?.speed === speed) all.at(-1)!.duration += duration
    else all.push({ speed, duration })
  }
  return all
}
