import { type PartOutlook, partUncertainty } from '../../core/judge/index.js'
import { type Soaking, soak } from '../../core/settling/index.js'
import type { Machine } from '../../core/shop.js'
import { EvenMeans } from './even-means.js'

/**
 * ms; after so long without its surroundings' temperature, the part is taken to be as warm as they are. Judgement, no
 * source
 */
const forgetsAfter = 6 * 3_600_000

/** Follows the temperature of the workpiece, which takes on that of its surroundings slowly. */
export class PartFollower {
  private part: Soaking | null = null
  /** five-minute means of a day */
  readonly day = new EvenMeans(300_000, 288)

  /** °C; undefined before its surroundings' temperature is known */
  get temperature(): number | undefined {
    return this.part?.temperature
  }

  /**
   * Carries the part on to a moment, in these surroundings.
   *
   * @param at ms
   * @param surroundings °C
   * @param timeConstant s
   */
  take(at: number, surroundings: number, timeConstant: number): void {
    if (!this.part || at - this.part.at > forgetsAfter) this.part = { at, temperature: surroundings, slope: 0 }
    else if (at > this.part.at) this.part = soak(this.part, surroundings, timeConstant, (at - this.part.at) / 1000)
    this.day.add(at, this.part.temperature)
  }

  /** Its surroundings were warmer all along than was taken, by so many K. */
  shift(change: number): void {
    if (this.part) this.part = { ...this.part, temperature: this.part.temperature + change }
    this.day.shift(change)
  }

  /** What is known of the part now, in these surroundings. @param surroundings °C */
  outlook(surroundings: number, { timeConstant, uncertainty }: Machine['workpiece']): PartOutlook {
    const { temperature, slope } = this.part ?? { temperature: surroundings, slope: 0 }
    return {
      temperature,
      steadyTemperature: surroundings,
      timeConstant: Math.max(timeConstant, 1),
      slope,
      uncertainty: partUncertainty(uncertainty, slope),
      uncertaintySoaked: uncertainty,
    }
  }
}
