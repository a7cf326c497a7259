import type { Shop, WorkClass } from '../../core/shop.js'
import type { MachineMark, MachineTruth, SimulatedShop } from '../../simulators/index.js'
import { driftStages, type SizeTruth, trueJobError } from './truth.js'

/** A moment at which a job may begin on a machine. */
export interface Look {
  /** ms */
  at: number
  truth: MachineTruth
  mark: MachineMark
}

/** A machine as it is now. */
export const lookAt = (simulated: SimulatedShop, machine: string): Look => ({
  at: simulated.time(),
  truth: simulated.truth().machines[machine]!,
  mark: simulated.mark(machine),
})

/**
 * Of a job begun at a look, true error ÷ granted: with the heat that the machine's work usually brings, in the air that came.
 *
 * @param zero what was true when the machine's datum was set, for a class that counts from it
 * @throws RangeError when the shop has not lived until its end, or the look is older than a day
 */
export const begunRatio = (
  shop: Shop,
  simulated: SimulatedShop,
  { truth, mark }: Look,
  workClass: WorkClass,
  zero: SizeTruth = truth,
): number => {
  const { axes } = shop.machines.find(({ id }) => id === mark.machine)!
  const horizons = driftStages.map(stage => stage * workClass.duration)
  const states = simulated.jobCourse(mark, simulated.usualJob(mark.machine), horizons)
  const drift = (axis: string, horizon: number) =>
    states[horizons.indexOf(horizon)]!.axes[axis]!.atWork - truth.axes[axis]!.atWork
  return trueJobError(axes, workClass, truth, drift, zero) / (workClass.share * workClass.tolerance)
}

/** What of a job is cut after it is probed again, as the morning check takes it: its last quarter. */
const finishing = 0.25

/**
 * The same of a job that is probed again before its finishing cuts: the size as it is then, and what drifts until the end.
 */
export const probedRatio = (
  shop: Shop,
  simulated: SimulatedShop,
  { truth, mark }: Look,
  workClass: WorkClass,
): number => {
  const { axes } = shop.machines.find(({ id }) => id === mark.machine)!
  const last = { ...workClass, duration: finishing * workClass.duration }
  const probed = workClass.duration - last.duration
  const horizons = [0, ...driftStages.map(stage => stage * last.duration)]
  const states = simulated.jobCourse(
    mark,
    simulated.usualJob(mark.machine),
    horizons.map(horizon => probed + horizon),
  )
  const then = { ...states[0]!, partAlpha: truth.partAlpha }
  const drift = (axis: string, horizon: number) =>
    states[horizons.indexOf(horizon)]!.axes[axis]!.atWork - then.axes[axis]!.atWork
  return trueJobError(axes, last, then, drift, then) / (workClass.share * workClass.tolerance)
}
