import { inverse } from '../learning/quadratic.js'
import type { Draw } from '../statistics/drawing.js'
import { memoryOf, varianceOf } from './known.js'

/** Columns that share one penalty: how large their factors are is learned from the data. */
export interface Group {
  columns: Float64Array[]
  /** none of its factors may be below zero */
  nonNegative: boolean
}

/** A fit, with what a block bootstrap makes of it. */
export interface RidgeFit {
  /** factors, group by group in the order of their columns */
  factors: number[][]
  /** the same of each drawing of blocks */
  drawn: number[][][]
  constant: number
  /** how much of a deviation is left one interval later: the rest is white */
  memory: number
  /** 0..1; how much of the variance the fit explains, its memory not used */
  explained: number
}

/** rounds in which memory and penalties are found */
const rounds = 4
const evidenceRounds = 6
/** a deviation's memory beyond this says that hardly anything is known of its level. Judgement, no source */
const mostMemory = 0.995
/** pieces of the history that stay together in a drawing: of a fortnight, half a day each. Judgement */
const pieces = 28
/** of how many drawings the interval is made */
const drawings = 24
/** fewest rows for each column. Judgement */
const leastRows = 4
/** K²; no measured air is quieter */
const leastNoise = 1e-8

/**
 * Ridge regression whose penalties, one for each group of columns, are those under which the data are most probable (evidence), on
 * differences that leave the deviations white: a deviation of the air lasts for hours, and plain least squares would take it for
 * knowledge.
 *
 * @param target  means over even intervals; NaN where not known
 * @param groups  columns as long as the target, all known
 * @param draw    for the drawings of blocks
 * @returns null where too little is known
 * @see MacKay, D. J. C. (1992), Bayesian interpolation, Neural Computation 4, 415; Cochrane, D. & Orcutt, G. H. (1949), J. Am. Stat.
 *   Assoc. 44, 32; Künsch, H. R. (1989), Ann. Stat. 17, 1217, on drawing blocks
 */
export const ridgeFit = (target: Float64Array, groups: readonly Group[], draw: Draw): RidgeFit | null => {
  const { all, groupOf, bounded } = laidOut(target, groups)
  const n = all.length
  let memory = 0.9
  let found: (MostProbable & { blocks: Gram[] }) | null = null
  for (let round = 0; round < rounds; round++) {
    const blocks = grams(target, all, memory)
    const sum = summed(blocks, n)
    if (sum.rows < leastRows * n) return null
    const precisions: readonly number[] = found?.precisions ?? groups.map(() => 1)
    const noise: number = found?.noise ?? Math.max(sum.squares / sum.rows, leastNoise)
    found = { ...mostProbable(sum, precisions, noise, groupOf, bounded), blocks }
    if (round < rounds - 1) memory = Math.min(mostMemory, Math.max(0, memoryOf(residuals(target, all, found.factors))))
  }
  const { factors, precisions, noise, blocks } = found!
  const drawn = Array.from({ length: drawings }, () => {
    const chosen = blocks.map(() => blocks[draw(blocks.length)]!)
    return byGroup(penalised(summed(chosen, n), precisions, groupOf, bounded, noise).factors, groups)
  })
  return {
    factors: byGroup(factors, groups),
    drawn,
    constant: factors[n - 1]!,
    memory,
    explained: explainedBy(target, all, factors),
  }
}

/** All columns with the constant behind them, the group of each, and whether its factor may not be negative. */
const laidOut = (target: Float64Array, groups: readonly Group[]) => ({
  all: [...groups.flatMap(group => group.columns), new Float64Array(target.length).fill(1)],
  groupOf: groups.flatMap((group, g) => group.columns.map(() => g)),
  bounded: groups.flatMap(({ columns, nonNegative }) => columns.map(() => nonNegative)),
})

interface MostProbable {
  factors: number[]
  precisions: number[]
  noise: number
}

/** Factors, penalties and noise under which the data are most probable, found in turn. */
const mostProbable = (
  sum: Gram,
  begin: readonly number[],
  firstNoise: number,
  groupOf: readonly number[],
  bounded: readonly boolean[],
): MostProbable => {
  const precisions = [...begin]
  let noise = firstNoise
  let factors: number[] = []
  for (let again = 0; again < evidenceRounds; again++) {
    const solved = penalised(sum, precisions, groupOf, bounded, noise)
    factors = solved.factors
    const known = precisions.map(() => 0)
    const size = precisions.map(() => 0)
    for (let k = 0; k < factors.length - 1; k++) {
      const g = groupOf[k]!
      if (!solved.free[k]) continue
      known[g]! += 1 - precisions[g]! * solved.variance[k]!
      size[g]! += factors[k]! ** 2
    }
    precisions.forEach((_, g) => {
      precisions[g] = Math.min(1e6, Math.max(1e-4, Math.max(known[g]!, 1e-3) / Math.max(size[g]!, 1e-9)))
    })
    const left = residualSquares(sum, factors)
    noise = Math.max(left / Math.max(sum.rows - known.reduce((a, b) => a + b, 0), sum.rows / 2), leastNoise)
  }
  return { factors, precisions, noise }
}

interface Gram {
  /** AᵀA, row by row, and Aᵀy; yᵀy */
  products: Float64Array
  right: Float64Array
  squares: number
  rows: number
}

/** Products of the differences y(i) − memory·y(i − 1), block by block. */
const grams = (target: Float64Array, columns: readonly Float64Array[], memory: number): Gram[] => {
  const n = columns.length
  const found: Gram[] = []
  const row = new Float64Array(n)
  const block = Math.ceil(target.length / pieces)
  for (let begin = 1; begin < target.length; begin += block) {
    const gram = { products: new Float64Array(n * n), right: new Float64Array(n), squares: 0, rows: 0 }
    for (let i = begin; i < Math.min(begin + block, target.length); i++) {
      const y = target[i]! - memory * target[i - 1]!
      if (Number.isNaN(y)) continue
      for (let k = 0; k < n; k++) row[k] = columns[k]![i]! - memory * columns[k]![i - 1]!
      for (let k = 0; k < n; k++) {
        const value = row[k]!
        if (value === 0) continue
        gram.right[k]! += value * y
        for (let j = 0; j <= k; j++) gram.products[k * n + j]! += value * row[j]!
      }
      gram.squares += y * y
      gram.rows += 1
    }
    if (gram.rows > 0) found.push(gram)
  }
  return found
}

const summed = (blocks: readonly Gram[], n: number): Gram => {
  const sum = { products: new Float64Array(n * n), right: new Float64Array(n), squares: 0, rows: 0 }
  for (const { products, right, squares, rows } of blocks) {
    for (let k = 0; k < products.length; k++) sum.products[k]! += products[k]!
    for (let k = 0; k < n; k++) sum.right[k]! += right[k]!
    sum.squares += squares
    sum.rows += rows
  }
  return sum
}

const entry = ({ products }: Gram, n: number, k: number, j: number): number =>
  k >= j ? products[k * n + j]! : products[j * n + k]!

/** The most probable factors; bounded ones that would fall below zero are held at it, the worst first. The constant is free. */
const penalised = (
  gram: Gram,
  precisions: readonly number[],
  groupOf: readonly number[],
  bounded: readonly boolean[],
  noise: number,
): { factors: number[]; variance: number[]; free: boolean[] } => {
  const n = gram.right.length
  const free = new Array<boolean>(n).fill(true)
  for (;;) {
    const at = free.flatMap((is, k) => (is ? [k] : []))
    const matrix = at.map(k =>
      at.map(j => entry(gram, n, k, j) / noise + (k === j ? (precisions[groupOf[k] ?? -1] ?? 1e-8) : 0)),
    )
    const covariance = inverse(matrix)
    const factors = new Array<number>(n).fill(0)
    const variance = new Array<number>(n).fill(0)
    at.forEach((k, a) => {
      variance[k] = covariance[a]![a]!
      at.forEach((j, b) => {
        factors[k]! += (covariance[a]![b]! * gram.right[j]!) / noise
      })
    })
    const below = at.filter(k => bounded[k] && factors[k]! < 0)
    if (below.length === 0) return { factors, variance, free }
    const worst = Math.min(...below.map(k => factors[k]! / Math.sqrt(variance[k]!)))
    for (const k of below) if (factors[k]! / Math.sqrt(variance[k]!) <= worst / 2) free[k] = false
  }
}

const residualSquares = (gram: Gram, factors: readonly number[]): number => {
  const n = factors.length
  let sum = gram.squares
  for (let k = 0; k < n; k++) {
    sum -= 2 * factors[k]! * gram.right[k]!
    for (let j = 0; j < n; j++) sum += factors[k]! * factors[j]! * entry(gram, n, k, j)
  }
  return Math.max(0, sum)
}

const residuals = (target: Float64Array, columns: readonly Float64Array[], factors: readonly number[]): Float64Array =>
  target.map((y, i) => {
    let value = y
    for (let k = 0; k < factors.length; k++) value -= factors[k]! * columns[k]![i]!
    return value
  })

const explainedBy = (target: Float64Array, columns: readonly Float64Array[], factors: readonly number[]): number => {
  const left = residuals(target, columns, factors)
  return Math.max(0, 1 - varianceOf(left) / varianceOf(target))
}

const byGroup = (factors: readonly number[], groups: readonly Group[]): number[][] => {
  let next = 0
  return groups.map(({ columns }) => {
    const own = factors.slice(next, next + columns.length)
    next += columns.length
    return own
  })
}
