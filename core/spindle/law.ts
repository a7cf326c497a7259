import { z } from 'zod'
import { metres } from '../quantities.js'
import { monotoneCurve } from '../statistics/monotone.js'
import type { SpindleStep } from './growth-test.js'

const variation = z
  .enum(['alike', 'by direction', 'by speed'])
  .describe(
    'how time constants may differ: not at all, by direction (heating, cooling), or by speed (a fan of its own)',
  )
export type Variation = z.infer<typeof variation>

/**
 * ratio; parts whose time constants lie closer together cannot be told apart in readings that scatter. Judgement, no
 * source
 */
export const leastRatio = 3

export const law = z
  .object({
    speeds: z.array(z.number()).describe('1/s; tested, rising, without rest'),
    steady: z.array(metres).describe('m; steady growth at each tested speed. At rest it is 0'),
    shares: z
      .array(z.number())
      .describe(
        'of the growth at any speed, what each part brings, fast part first: all are warmed by the same friction. Adds up to 1',
      ),
    variation,
    logs: z
      .array(z.number())
      .describe(
        "natural logarithms: of the first part's time constant in s; with two parts, of how many times longer the second's " +
          'is; unless alike, of how many times longer the last part’s is when cooling than when heating, or at rest than at ' +
          'the highest tested speed, in between in proportion. It is the last part that gives its heat to the air, which a ' +
          'turning spindle stirs',
      ),
  })
  .meta({ id: 'SpindleLaw' })
/**
 * A spindle's growth as one or two parts that each follow first order: G = Σ xₖ, dxₖ/dt = (Aₖ(n) − xₖ)/τₖ. The fast part
 * is mostly the bearings, the slow one the housing.
 */
export type Law = z.infer<typeof law>

/** A law made ready to be asked. */
export interface Spindle {
  /** number of parts */
  parts: number
  /** m; where a part tends to at a speed in 1/s */
  target(part: number, speed: number): number
  /** s; time constant of a part */
  timeConstant(part: number, speed: number, heating: boolean): number
}

/** Straight lines between points, level beyond them. */
const broken = (x: readonly number[], y: readonly number[]) => (at: number) => {
  const k = x.findIndex(each => each >= at)
  if (k < 0) return y.at(-1)!
  return k === 0 ? y[0]! : y[k - 1]! + ((y[k]! - y[k - 1]!) * (at - x[k - 1]!)) / (x[k]! - x[k - 1]!)
}

/**
 * How much of the last part's variation holds: none when heating or at the highest speed, all when cooling or at rest.
 *
 * @param turning speed over the highest tested one
 * @returns 0..1
 */
export const longer = (variation: Variation, heating: boolean, turning: number): number =>
  variation === 'by direction' ? Number(!heating) : variation === 'by speed' ? Math.max(0, 1 - turning) : 0

/** Natural logarithm of a part's time constant in s; `vary` as `longer` has it. */
export const logOf = (logs: readonly number[], part: number, parts: number, vary: number): number =>
  logs[0]! + (part === 1 ? logs[1]! : 0) + (part === parts - 1 && vary !== 0 ? vary * logs[parts]! : 0)

/**
 * The law between tested speeds: the steady growth is monotone wherever the tested ones are.
 *
 * @param straight lines instead of the monotone curve; what the two differ by tells how much lies in the interpolation
 */
export const spindleOf = ({ speeds, steady, shares, variation, logs }: Law, straight = false): Spindle => {
  const [x, y] = [
    [0, ...speeds],
    [0, ...steady],
  ]
  const curve = straight ? broken(x, y) : monotoneCurve(x, y)
  const parts = shares.length
  const highest = speeds.at(-1)!
  return {
    parts,
    target: (part, speed) => shares[part]! * curve(speed),
    timeConstant: (part, speed, heating) =>
      Math.exp(logOf(logs, part, parts, longer(variation, heating, speed / highest))),
  }
}

/** Whether a part's growth x (m) goes further from 0 on the way to its target (m): also where a spindle shrinks. */
export const heats = (x: number, target: number): boolean => target * (target - x) > 0

/**
 * Growth of each part after a while at one speed.
 *
 * @param state m; growth of each part before
 * @param speed 1/s
 * @param duration s
 * @returns m; growth of each part, its sum is the spindle's
 */
export const partsAfter = (spindle: Spindle, state: readonly number[], speed: number, duration: number): number[] =>
  state.map((x, part) => {
    const target = spindle.target(part, speed)
    return target + (x - target) * Math.exp(-duration / spindle.timeConstant(part, speed, heats(x, target)))
  })

/** Growth of a spindle, m: the sum of that of its parts. */
export const total = (parts: readonly number[]): number => parts.reduce((sum, x) => sum + x, 0)

/** Growth of each part, m, of a spindle that has run at one speed (1/s) for long. */
export const steadyAt = (spindle: Spindle, speed: number): number[] =>
  Array.from({ length: spindle.parts }, (_, part) => spindle.target(part, speed))

/** Growth of a cold spindle, m: 0 in every part. */
export const cold = (spindle: Spindle): number[] => new Array<number>(spindle.parts).fill(0)

/**
 * Growth at times within a sequence of speeds.
 *
 * @param steps one after another
 * @param times s since the first began, rising; after the last step its speed goes on
 * @param start m; growth of each part at the beginning
 * @returns m; growth at each moment
 */
export const growthDuring = (
  spindle: Spindle,
  steps: readonly SpindleStep[],
  times: readonly number[],
  start: readonly number[] = cold(spindle),
): number[] => {
  let state = start
  let begun = 0
  let step = 0
  return times.map(at => {
    while (step < steps.length - 1 && at > begun + steps[step]!.duration) {
      state = partsAfter(spindle, state, steps[step]!.speed, steps[step]!.duration)
      begun += steps[step++]!.duration
    }
    return total(partsAfter(spindle, state, steps[step]!.speed, at - begun))
  })
}
