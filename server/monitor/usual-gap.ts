/** intervals; the longest habit, so that a silence of hours is never taken for one. Judgement, no source */
const most = 12

/**
 * How many empty intervals usually lie between the readings of one temperature: none for a sensor that reports often, some
 * for one that is slower than the interval. It is their median, followed one step at a time.
 */
export class UsualGap {
  private usual = 0

  /** @returns whether so many empty intervals are its habit: a straight line may bridge them */
  take(empty: number): boolean {
    const isUsual = empty > 0 && empty <= 2 * this.usual
    this.usual = Math.min(this.usual + Math.sign(empty - this.usual), most)
    return isUsual
  }
}
