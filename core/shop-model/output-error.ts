import { boundedMinimum } from '../learning/quadratic.js'
import { dot } from '../statistics/vectors.js'

/** What is looked for, and where it usually lies: what the data do not tell stays near there. */
export interface Unknown {
  usual: number
  /** standard deviation of it among what there is */
  spread: number
  /** looked for by its logarithm, which `usual` and `spread` are of */
  isFactor: boolean
  low: number
}

/** Values that were found, and what they leave. */
export interface Fit {
  /** as the search moves them: of a factor its logarithm */
  x: number[]
  /** variance of what is left and white, and how much of what is left lasts until the next one */
  noise: number
  memory: number
  /** minus twice the logarithm of how probable the data are, but for a constant */
  cost: number
}

/** Deviations of a run with given values from what was measured; NaN where not known. */
type Deviations = (x: readonly number[]) => Float64Array

interface Slopes {
  deviations: Float64Array
  by: Float64Array[]
}

/** Normal equations: of the matrix, which is symmetric, what lies on its diagonal and below. */
interface Asked {
  matrix: number[][]
  right: number[]
}

/** Values as they act, in their own units, from those that the search moves: of a factor that is its logarithm. */
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
  private readonly usual: readonly number[]

  constructor(
    private readonly unknown: readonly Unknown[],
    private readonly step: readonly number[],
  ) {
    this.usual = unknown.map(({ usual }) => usual)
  }

  costOf(deviations: Float64Array, x: readonly number[], { noise, memory }: Pick<Fit, 'noise' | 'memory'>): number {
    return squaresOf(whitened(deviations, memory)) / noise + this.penalty(x)
  }

  /**
   * Values that fit best, two steps away, where deviations count otherwise and something else is usual. With both drawn at random,
   * what the data tell is as unsure as they are, and what they do not tell as it is before them.
   *
   * @param times how often each deviation counts
   * @see Bardsley, J. et al. (2014), SIAM J. Sci. Comput. 36, A1895, randomize-then-optimize
   */
  drawn(
    of: Deviations,
    { x, noise, memory }: Fit,
    slopes: Slopes,
    times: (k: number) => number,
    usual: readonly number[],
  ): number[] {
    const cost = (at: readonly number[]) => squaresOf(whitened(of(at), memory), times) / noise + this.penalty(at, usual)
    let best = { x, cost: cost(x) }
    for (let step = 0; step < 2; step++) {
      const from = best.x
      const asked = this.askedBy(step === 0 ? slopes : this.slopes(of, from, memory), noise, times)
      for (const damping of dampings) {
        const next = this.stepFrom(from, asked, damping, usual)
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
      const asked = this.askedBy(this.slopes(of, x, memory), noise)
      let gained = 0
      for (let attempt = 0; attempt < 7 && gained <= 0; attempt++) {
        const next = this.stepFrom(x, asked, damping)
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

  /**
   * What the data ask of the values, in spreads, so that all steps and bounds are of one size.
   *
   * @param times how often each deviation counts
   */
  private askedBy({ deviations, by }: Slopes, noise: number, times: (k: number) => number = once): Asked {
    const weights = deviations.map((deviation, k) => (Number.isNaN(deviation) ? 0 : times(k) / noise))
    const counting = [...weights.keys()].filter(k => weights[k] !== 0)
    const rows = by.map((of, a) => Float64Array.from(counting, k => of[k]! * this.unknown[a]!.spread))
    const weighted = rows.map(row => row.map((value, j) => weights[counting[j]!]! * value))
    const left = Float64Array.from(counting, k => deviations[k]!)
    const matrix = weighted.map((row, a) => rows.slice(0, a + 1).map(other => dot(row, other)))
    const right = weighted.map(row => -dot(row, left))
    return { matrix, right }
  }

  /** The values that a straight model has for the best. */
  private stepFrom(
    x: readonly number[],
    { matrix, right }: Asked,
    damping: number,
    usual: readonly number[] = this.usual,
  ): number[] {
    const scale = this.unknown.map(({ spread }) => spread)
    const damped = x.map((_, a) =>
      x.map((__, b) => (a === b ? (matrix[a]![a]! + 1) * (1 + damping) : matrix[Math.max(a, b)]![Math.min(a, b)]!)),
    )
    const pulled = x.map((value, a) => right[a]! + (usual[a]! - value) / scale[a]!)
    const low = x.map((value, a) => Math.max(-longest, (this.unknown[a]!.low - value) / scale[a]!))
    const steps = boundedMinimum(damped, pulled, low, new Array<number>(x.length).fill(longest))
    return x.map((value, a) => value + steps[a]! * scale[a]!)
  }

  private penalty(x: readonly number[], usual: readonly number[] = this.usual): number {
    return x.reduce((sum, value, k) => sum + ((value - usual[k]!) / this.unknown[k]!.spread) ** 2, 0)
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
