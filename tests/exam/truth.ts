import type { Axis, WorkClass } from '../../core/shop.js'
import type { AxisTruth, HeldState, MachineTruth } from '../../simulators/index.js'

/** Displacement of the measuring part at a position, m: between the simulator's places, linear. */
const displacementAt = ({ position, value }: AxisTruth['displacement'], at: number): number => {
  const last = position.length - 1
  const width = position[last]! / last
  const place = Math.min(Math.max(Math.floor(at / width), 0), last - 1)
  const part = (at - position[place]!) / width
  return value[place]! + part * (value[place + 1]! - value[place]!)
}

/** What a size error comes from at a moment: axes by id, the part's temperature (°C) and its expansion (1/K). */
export type SizeTruth = Pick<MachineTruth, 'axes' | 'partTemperature' | 'partAlpha'>

/** True size error at 20 °C of a feature of a class, cut around where the work is held, m. */
export const trueSizeError = (axis: Axis, workClass: WorkClass, truth: SizeTruth): number => {
  const { displacement } = truth.axes[axis.id]!
  // a feature longer than the travel is made in several settings, each like the whole travel
  const length = Math.min(workClass.featureLength, axis.travel)
  const from = Math.min(Math.max(axis.workAt - length / 2, 0), axis.travel - length)
  const stretch = (displacementAt(displacement, from + length) - displacementAt(displacement, from)) / length
  const partAlpha = truth.partAlpha[workClass.material.name]
  if (partAlpha === undefined) throw new Error(`the simulator knows no true expansion of ${workClass.material.name}`)
  return workClass.featureLength * (stretch - partAlpha * (truth.partTemperature - 20))
}

/** Parts of the job at which the true drift is taken. */
export const driftStages = [0.25, 0.5, 0.75, 1]

/**
 * True thermal error of a job begun now if conditions hold, by axis: |size error| + |largest drift|, m. Both count from the
 * zero where a class is zeroed at the datum: from the first part that was measured then.
 *
 * @param zero what was true at the machine's datum
 */
export const trueAxisErrors = (
  axes: readonly Axis[],
  workClass: WorkClass,
  truth: SizeTruth,
  drift: (axis: string, horizon: number) => number,
  zero: SizeTruth,
): number[] => {
  const sinceDatum = workClass.zeroedAt === 'datum'
  return axes.map(axis => {
    const times = axis.readsDiameter || workClass.readsDiameter ? 2 : 1
    const atWork = (of: SizeTruth) => of.axes[axis.id]!.atWork
    const before = sinceDatum ? atWork(truth) - atWork(zero) : 0
    const drifts = driftStages.map(stage => Math.abs(before + drift(axis.id, stage * workClass.duration)))
    const size = trueSizeError(axis, workClass, truth) - (sinceDatum ? trueSizeError(axis, workClass, zero) : 0)
    return Math.abs(size) + times * Math.max(Math.abs(before), ...drifts)
  })
}

/** The worst axis of `trueAxisErrors`, m. */
export const trueJobError = (...of: Parameters<typeof trueAxisErrors>): number => Math.max(...trueAxisErrors(...of))

/** Growth of one axis at the work along a course, m; between its moments, linear. */
export const growthAlong = (course: readonly Pick<HeldState, 'ahead' | 'axes'>[], axis: string) => {
  let place = 0
  return (ahead: number): number => {
    while (place < course.length - 2 && course[place + 1]!.ahead <= ahead) place++
    while (place > 0 && course[place]!.ahead > ahead) place--
    const [a, b] = [course[place]!, course[place + 1]!]
    const part = (ahead - a.ahead) / (b.ahead - a.ahead)
    const from = a.axes[axis]!.atWork
    return from + part * (b.axes[axis]!.atWork - from)
  }
}

/**
 * True thermal error of a job begun at each moment of a held course that leaves time for the job, m.
 *
 * @param course from 0 s on, rising
 * @returns moments (s ahead) and errors, equal lengths
 */
export const jobErrorsAlong = (
  axes: readonly Axis[],
  workClass: WorkClass,
  course: readonly HeldState[],
  partAlpha: Record<string, number>,
  zero: SizeTruth,
): { ahead: number[]; error: number[] } => {
  const growth = new Map(axes.map(({ id }) => [id, growthAlong(course, id)]))
  const end = course.at(-1)!.ahead - workClass.duration
  const moments = course.filter(({ ahead }) => ahead <= end)
  return {
    ahead: moments.map(({ ahead }) => ahead),
    error: moments.map(moment =>
      trueJobError(
        axes,
        workClass,
        { ...moment, partAlpha },
        (axis, horizon) => {
          const at = growth.get(axis)!
          return at(moment.ahead + horizon) - at(moment.ahead)
        },
        zero,
      ),
    ),
  }
}

/**
 * The first moment from which a value stays within a limit for a while; between the moments given, linear.
 *
 * @param ahead s, rising from 0
 * @param stay s
 * @returns s; 0 when it is within already; null when it never is
 */
export const firstWithin = (
  ahead: readonly number[],
  value: readonly number[],
  limit: number,
  stay: number,
): number | null => {
  let since: number | null = null
  for (let i = 0; i < ahead.length; i++) {
    if (value[i]! > limit) {
      // it leaves somewhere before this moment
      since = null
      continue
    }
    if (since === null) {
      if (i === 0) since = 0
      else {
        const part = (value[i - 1]! - limit) / (value[i - 1]! - value[i]!)
        since = ahead[i - 1]! + part * (ahead[i]! - ahead[i - 1]!)
      }
    }
    if (ahead[i]! - since >= stay) return since
  }
  return null
}
