import { boundedMinimum } from '../learning/quadratic.js'

/** What is looked for, and where it usually lies: what the data do not tell stays near there. */
export interface Unknown {
  usual: number
  /** standard deviation of it among what there is */
  spread: number
  /** looked for by its logarithm, which `usual` and `spread` are of */
  isFactor: boolean
  low: number
}

export interface Fit {
  x: number[]
  /** variance of what is left and white, and how much of what is left lasts until the next one */
  noise: number
  memory: number
  /** minus twice the logarithm of how probable the data are, but for a constant */
  cost: number
}

/** Deviations of a run with given values from what was measured; NaN where not known. */
export type Deviations = (x: readonly number[]) => Float64Array

interface Slopes {
  deviations: Float64Array
  by: Float64Array[]
}

/** Values as they act. */
export const physical = (unknown: readonly Unknown[], x: readonly number[]): number[] =>
  x.map((value, k) => (unknown[k]!.isFactor ? Math.exp(value) : value))

/** a deviation's memory, at most: else only quick changes would tell */
const mostMemory = 0.97
/** K²; no measured air is quieter */
const leastNoise = 1e-4
/** spreads; a step is no longer, for a model is straight only nearby */
const longest = 2
/** what a step is held back by, until it leads to something better */
const dampings = [0, 0.1, 1, 10, 100]
const once = () => 1

/**
 * Penalised least squares of what a run leaves of what was measured, whitened by its own memory: Gauss and Newton's method with
 * bounds, damped as Levenberg and Marquardt have it.
 *
 * @param step by how much each unknown is moved to see what it does
 * @see Bohlin, T. & Graebe, S. (1995), Int. J. Adapt. Control 9, 465, on grey boxes; Nocedal & Wright, Numerical Optimization, chapter 10
 */
export class OutputErrorFit {
  constructor(
    private readonly unknown: readonly Unknown[],
    private readonly step: readonly number[],
  ) {}

  costOf(
    deviations: Float64Array,
    x: readonly number[],
    { noise, memory }: Pick<Fit, 'noise' | 'memory'>,
    times: (k: number) => number = once,
  ): number {
    return squaresOf(whitened(deviations, memory), times) / noise + this.penalty(x)
  }

  /** Values that fit best, two steps away, where deviations count otherwise. @param times how often each counts */
  drawn(of: Deviations, { x, noise, memory }: Fit, slopes: Slopes, times: (k: number) => number): number[] {
    const cost = (at: readonly number[]) => this.costOf(of(at), at, { noise, memory }, times)
    let best = { x, cost: cost(x) }
    for (let step = 0; step < 2; step++) {
      const from = best.x
      const around = step === 0 ? slopes : this.slopes(of, from, memory)
      for (const damping of dampings) {
        const next = this.stepFrom(from, around, noise, damping, times)
        const found = cost(next)
        if (found < best.cost) best = { x: next, cost: found }
      }
    }
    return best.x
  }

  /** @param most rounds; a memory that is to stay as it is makes fits comparable */
  *improved(of: Deviations, begin: Fit, most: number, memoryStays: boolean): Generator<void, Fit> {
    let { x, noise, memory } = begin
    let damping = 0.01
    let cost = this.costOf(of(x), x, begin)
    for (let round = 0; round < most; round++) {
      yield
      const slopes = this.slopes(of, x, memory)
      let gained = 0
      for (let attempt = 0; attempt < 7 && gained <= 0; attempt++) {
        const next = this.stepFrom(x, slopes, noise, damping)
        const found = this.costOf(of(next), next, { noise, memory })
        gained = cost - found
        damping = gained > 0 ? Math.max(1e-4, damping / 4) : damping * 8
        if (gained > 0) {
          x = next
          cost = found
        }
      }
      if (gained < 0.1) break
    }
    const left = of(x)
    if (!memoryStays) memory = memoryOf(left)
    const white = whitened(left, memory)
    const rows = white.reduce((count, value) => count + Number(!Number.isNaN(value)), 0)
    noise = Math.max(leastNoise, squaresOf(white) / rows)
    return { x, noise, memory, cost: rows * Math.log(noise) + this.penalty(x) }
  }

  slopes(of: Deviations, x: readonly number[], memory: number): Slopes {
    const plain = of(x)
    const by = x.map((value, k) => {
      const moved = of(x.map((same, j) => (j === k ? value + this.step[k]! : same)))
      return whitened(
        moved.map((e, i) => (e - plain[i]!) / this.step[k]!),
        memory,
      )
    })
    return { deviations: whitened(plain, memory), by }
  }

  /** The values that a straight model has for the best. @param times how often each deviation counts */
  stepFrom(
    x: readonly number[],
    { deviations, by }: Slopes,
    noise: number,
    damping: number,
    times: (k: number) => number = once,
  ): number[] {
    const n = x.length
    const scale = this.unknown.map(({ spread }) => spread)
    const matrix = x.map(() => new Array<number>(n).fill(0))
    const right = new Array<number>(n).fill(0)
    const row = new Float64Array(n)
    for (let k = 0; k < deviations.length; k++) {
      const weight = times(k) / noise
      if (weight === 0 || Number.isNaN(deviations[k]!)) continue
      // in spreads, so that all steps and bounds are of one size
      for (let a = 0; a < n; a++) row[a] = by[a]![k]! * scale[a]!
      for (let a = 0; a < n; a++) {
        if (row[a] === 0) continue
        right[a]! -= weight * row[a]! * deviations[k]!
        for (let b = 0; b <= a; b++) matrix[a]![b]! += weight * row[a]! * row[b]!
      }
    }
    for (let a = 0; a < n; a++) {
      right[a]! += (this.unknown[a]!.usual - x[a]!) / scale[a]!
      matrix[a]![a] = (matrix[a]![a]! + 1) * (1 + damping)
      for (let b = a + 1; b < n; b++) matrix[a]![b] = matrix[b]![a]!
    }
    const low = x.map((value, a) => Math.max(-longest, (this.unknown[a]!.low - value) / scale[a]!))
    const steps = boundedMinimum(matrix, right, low, new Array<number>(n).fill(longest))
    return x.map((value, a) => value + steps[a]! * scale[a]!)
  }

  private penalty(x: readonly number[]): number {
    return x.reduce((sum, value, k) => sum + ((value - this.unknown[k]!.usual) / this.unknown[k]!.spread) ** 2, 0)
  }
}

const whitened = (e: Float64Array, memory: number): Float64Array =>
  e.map((value, k) => value - memory * (e[k - 1] ?? Number.NaN))

const squaresOf = (e: Float64Array, times: (k: number) => number = once): number =>
  e.reduce((sum, value, k) => (Number.isNaN(value) ? sum : sum + times(k) * value * value), 0)

const memoryOf = (e: Float64Array): number => {
  const products = e.reduce((sum, value, k) => sum + (value * (e[k - 1] ?? Number.NaN) || 0), 0)
  const squares = squaresOf(e)
  return squares > 0 ? Math.min(mostMemory, Math.max(0, products / squares)) : 0
}
