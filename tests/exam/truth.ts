import type { Axis, WorkClass } from '../../core/shop.js'
import type { AxisTruth, MachineTruth } from '../../simulators/index.js'

/** Displacement of the measuring part at a position, m: between the simulator's places, linear. */
const displacementAt = ({ position, value }: AxisTruth['displacement'], at: number): number => {
  const last = position.length - 1
  const width = position[last]! / last
  const place = Math.min(Math.max(Math.floor(at / width), 0), last - 1)
  const part = (at - position[place]!) / width
  return value[place]! + part * (value[place + 1]! - value[place]!)
}

/** True size error at 20 °C of a feature of a class, cut around where the work is held, m. */
export const trueSizeError = (axis: Axis, workClass: WorkClass, truth: MachineTruth): number => {
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

/** True thermal error of a job begun now if conditions hold: worst axis of |size error| + |largest drift|, m. */
export const trueJobError = (
  axes: readonly Axis[],
  workClass: WorkClass,
  truth: MachineTruth,
  drift: (axis: string, horizon: number) => number,
): number =>
  Math.max(
    ...axes.map(axis => {
      const largest = Math.max(...driftStages.map(stage => Math.abs(drift(axis.id, stage * workClass.duration))))
      return Math.abs(trueSizeError(axis, workClass, truth)) + largest
    }),
  )
