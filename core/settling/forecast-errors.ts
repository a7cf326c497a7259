/** forecasts that are remembered, the weight of older ones falling off exponentially: those of some five days */
const memory = 240
/** what is expected before any forecast could be compared counts as this many of them. Judgement, no source */
const priorCount = 8
/**
 * How many forecasts that were made when less was known count beside its own, at most: `least`, or `apart` that do not overlap in
 * time where that is more. Judgement, from invented shops.
 */
const fromBefore = { least: 8, apart: 6 }
/**
 * Factor on a band at first: the mean square still holds errors of times at which the ways had learned less than by now, so it is
 * larger than the next error will be. Judgement, from invented shops.
 */
const firstWidth = 0.85
/** how a band widens after a miss and narrows after a hit, so that nine of ten are hits */
const missed = { target: 0.1, gain: 0.05 }
/** factor on a standard deviation for a 90 % interval of a normal distribution */
const ninety = 1.645

/** A forecast that what comes is still to be compared with. */
export interface Made {
  /** °C; what each way expected */
  values: Float64Array
  /** °C, K; mean and standard uncertainty of their mixture */
  mean: number
  spread: number
}

/**
 * How far forecasts over one time ahead were off, each of several ways to see ahead for itself. Those that were made when less was
 * known have a record of their own, which is what is expected until there are some of these.
 */
export class ForecastErrors {
  /** K²; what is expected of the square that each way is off by */
  readonly squares: Float64Array
  /** forecasts that were compared */
  count = 0
  private readonly seen: Float64Array
  private ownWidth: number | null = null

  /**
   * @param steps  between two forecasts that do not overlap
   * @param before the record of forecasts that were made when less was known; or what is expected at first, K²
   */
  constructor(
    ways: number,
    private readonly steps: number,
    private readonly before: ForecastErrors | number,
  ) {
    this.seen = new Float64Array(ways)
    this.squares = new Float64Array(ways)
    this.expectAnew()
  }

  /** factor on the band */
  get width(): number {
    return this.ownWidth ?? (typeof this.before === 'number' ? firstWidth : this.before.width)
  }

  /** forecasts of those before that count beside its own */
  private get borrowed(): number {
    const { before, steps } = this
    if (typeof before === 'number') return 0
    return Math.min(before.count, Math.max(fromBefore.least, fromBefore.apart * steps))
  }

  /** forecasts that what is expected stands on */
  get standsOn(): number {
    return this.count + this.borrowed
  }

  /** Compares a forecast with what came, °C. */
  take(made: Made, came: number): void {
    const width = this.width
    this.count = Math.min(this.count + 1, memory)
    for (let m = 0; m < this.seen.length; m++)
      this.seen[m]! += ((made.values[m]! - came) ** 2 - this.seen[m]!) / this.count
    const miss = Math.abs(came - made.mean) > ninety * made.spread ? 1 : 0
    this.ownWidth = Math.min(4, Math.max(0.4, width * Math.exp(missed.gain * (miss - missed.target))))
    this.expectAnew()
  }

  /** What was expected of it, or of those before it, has changed. */
  expectAnew(): void {
    const { before, count } = this
    const prior = priorCount + this.borrowed
    for (let m = 0; m < this.squares.length; m++) {
      const expected = typeof before === 'number' ? before : before.squares[m]!
      this.squares[m] = (prior * expected + count * this.seen[m]!) / (prior + count)
    }
  }
}
