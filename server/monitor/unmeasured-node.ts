import type { NodeOutlook } from '../../core/judge/index.js'
import { type OpenLoop, openLoopUncertainty, predictOpenLoop, startOpenLoop } from '../../core/settling/index.js'
import type { Node } from '../../core/shop.js'

/** s; a body's time constant where none is configured. Judgement, no source */
export const usualTimeConstant = 3600

/** A body that no sensor is on and no verdict needs: it is predicted from what it follows. */
export class UnmeasuredNode {
  private predicted: OpenLoop | null = null
  private surroundings: number | null = null

  constructor(readonly node: Node) {}

  private get settings() {
    return { timeConstant: this.node.timeConstant ?? usualTimeConstant, steadyExcess: this.node.steadyExcess ?? 0 }
  }

  /**
   * Carries the prediction on to a moment.
   *
   * @param at ms
   * @param surroundings temperature of what it follows from then on, °C; null when unknown
   */
  follow(at: number, surroundings: number | null): void {
    if (surroundings === null) return
    // until now it followed what was known before
    this.predicted = this.predicted
      ? predictOpenLoop(this.predicted, this.surroundings ?? surroundings, at, this.settings)
      : startOpenLoop(at, surroundings, this.settings)
    this.surroundings = surroundings
  }

  /** What it was told of late was wrong: its prediction begins anew, as uncertain as at first. */
  forget(): void {
    this.predicted = null
    this.surroundings = null
  }

  /** What it follows was all along so many K warmer than its readings said, and so was it. */
  shift(change: number): void {
    if (this.predicted) this.predicted = { ...this.predicted, temperature: this.predicted.temperature + change }
    if (this.surroundings !== null) this.surroundings += change
  }

  /**
   * What is predicted of the body now, and how sure that is.
   *
   * @param now ms
   * @param surroundings what is known of what it follows
   * @param index of that node in the machine
   * @returns null before anything was known
   */
  outlookAt(now: number, surroundings: NodeOutlook, index: number): NodeOutlook | null {
    if (!this.predicted) return null
    const { timeConstant, steadyExcess } = this.settings
    const predicted = predictOpenLoop(this.predicted, surroundings.temperature, now, this.settings)
    const uncertainty = openLoopUncertainty(predicted, timeConstant)
    const { course: _, ...followed } = surroundings
    return {
      ...followed,
      temperature: predicted.temperature,
      steadyTemperature: surroundings.temperature + steadyExcess,
      timeConstant,
      timeConstantUncertainty: this.node.timeConstantUncertainty ?? 0.5,
      steadyUncertainty: uncertainty,
      placement: uncertainty,
      follows: index,
    }
  }
}
