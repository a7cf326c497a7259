import type { NodeOutlook } from '../../core/judge/index.js'
import { type MeasuredBody, UnmeasuredBody, type UnmeasuredSettings } from '../../core/settling/index.js'
import type { Node } from '../../core/shop.js'

/** s; a body's time constant where none is configured. Judgement, no source */
export const usualTimeConstant = 3600

/** A body that no sensor is on and no verdict needs: it is predicted from what it follows, and from bodies beside it. */
export class UnmeasuredNode {
  private readonly body = new UnmeasuredBody()
  private surroundings: number | null = null

  /** @param followed the node that it follows */
  constructor(
    readonly node: Node,
    private readonly followed: Node | undefined,
  ) {}

  private get settings(): UnmeasuredSettings {
    return {
      timeConstant: this.node.timeConstant ?? usualTimeConstant,
      steadyExcess: this.node.steadyExcess ?? 0,
      surroundingsPlacement: this.followed?.placementUncertainty ?? 0,
    }
  }

  /**
   * Carries the prediction on to a moment.
   *
   * @param at ms
   * @param surroundings temperature of what it follows from then on, °C; null when unknown
   * @param measured bodies of the machine that follow the same
   */
  follow(at: number, surroundings: number | null, measured: readonly MeasuredBody[]): void {
    if (surroundings === null) return
    // until now it followed what was known before
    this.body.follow(at, this.surroundings ?? surroundings, measured, this.settings)
    this.surroundings = surroundings
  }

  /** What it was told of late was wrong: its prediction begins anew, as uncertain as at first. */
  forget(): void {
    this.body.forget()
    this.surroundings = null
  }

  /**
   * A node was all along so many K warmer than its readings said: what it follows, or a measured body.
   *
   * @returns K; by how much the body was warmer than predicted then
   */
  shift(node: string, change: number): number {
    const before = this.temperature()
    if (node !== this.node.follows) this.body.shiftBeside(node, change)
    else {
      this.body.shift(change)
      if (this.surroundings !== null) this.surroundings += change
    }
    return this.temperature() - before
  }

  private temperature(): number {
    const { at } = this.body
    return at === null ? 0 : this.body.estimateAt(at, this.surroundings!, this.settings)!.temperature
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
    const { timeConstant, steadyExcess } = this.settings
    const estimate = this.body.estimateAt(now, surroundings.temperature, this.settings)
    if (!estimate) return null
    const { course: _, ...followed } = surroundings
    return {
      ...followed,
      temperature: estimate.temperature,
      steadyTemperature: surroundings.temperature + steadyExcess + estimate.departure,
      timeConstant,
      timeConstantUncertainty: this.node.timeConstantUncertainty ?? 0.5,
      steadyUncertainty: estimate.steadyUncertainty,
      placement: estimate.uncertainty,
      follows: index,
    }
  }
}
