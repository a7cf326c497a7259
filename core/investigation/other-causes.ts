import { drawing } from '../statistics/drawing.js'
import type { OtherCause, ToldFigure } from './answer.js'
import { blockIntervals } from './resampling.js'
import { type Sums, slopeOf, sumsOf } from './share-explained.js'

/** What was recorded of each part that could explain its deviation, in the order of the parts. */
export interface Column {
  suspect: 'tool' | 'tool wear' | 'lot' | 'set-up' | 'who' | 'order'
  /** a quantity explains by a straight line, a group by its mean */
  kind: 'quantity' | 'group'
  /** null or an empty text: not said of that part */
  values: readonly (number | string | null)[]
}

/** 0..1; part of the parts that a column must say something of. Judgement, no source */
const leastSaid = 2 / 3
/** parts for each group at least, on average: fewer leave nothing to be told. Judgement, no source */
const leastInGroup = 3
/** 0..1; what explains less of what is left is of no account. Judgement, no source */
const leastExplained = 0.15
/** 0..1; a cause may seem to explain so much by chance at most so often. Common practice, no source */
const level = 0.05
const coverage = 0.9
const rounds = 499
/** additions that one test may take */
const mostWork = 2e5
const day = 86_400_000

const isSaid = (value: Column['values'][number]) => value !== null && value !== ''

/** Numbers for a quantity, with the mean where nothing is said; the place of its group for a group. */
const asNumbers = ({ kind, values }: Column): Float64Array => {
  if (kind === 'group') {
    const groups = [...new Set(values)]
    const places = new Map(groups.map((group, i) => [group, i]))
    return Float64Array.from(values, value => places.get(value)!)
  }
  const said = values.filter(isSaid).map(Number)
  const mean = said.reduce((sum, value) => sum + value, 0) / said.length
  return Float64Array.from(values, value => (isSaid(value) ? Number(value) : mean))
}

/** Whether a column says enough to explain anything: of most parts, with several values, and not another one for each part. */
export const isUsable = ({ kind, values }: Column): boolean => {
  const said = values.filter(isSaid)
  const different = new Set(said).size
  if (said.length < leastSaid * values.length || different < 2) return false
  return kind === 'quantity' || different * leastInGroup <= values.length
}

/** One column of numbers for a quantity, one for each group but the first: what a linear fit takes. */
export const columnsOf = (column: Column): Float64Array[] => {
  const numbers = asNumbers(column)
  if (column.kind === 'quantity') return [numbers]
  const groups = new Set(numbers).size
  return Array.from({ length: groups - 1 }, (_, group) => numbers.map(value => (value === group + 1 ? 1 : 0)))
}

const spreadOf = (values: ArrayLike<number>): { mean: number; squares: number } => {
  let mean = 0
  for (let i = 0; i < values.length; i++) mean += values[i]! / values.length
  let squares = 0
  for (let i = 0; i < values.length; i++) squares += (values[i]! - mean) ** 2
  return { mean, squares }
}

/** 0..1; share of the variance of values that the numbers explain, moved on round by so many places */
const explainedBy = (kind: Column['kind'], numbers: Float64Array, values: Float64Array, moved: number): number => {
  const n = values.length
  const { mean, squares } = spreadOf(values)
  if (kind === 'group') {
    const groups = 1 + numbers.reduce((most, group) => Math.max(most, group), 0)
    const [sums, counts] = [new Float64Array(groups), new Float64Array(groups)]
    for (let i = 0; i < n; i++) {
      const group = numbers[(i + moved) % n]!
      sums[group]! += values[i]! - mean
      counts[group]! += 1
    }
    let between = 0
    for (let group = 0; group < groups; group++) between += sums[group]! ** 2 / counts[group]!
    return between / squares
  }
  const own = spreadOf(numbers)
  let together = 0
  for (let i = 0; i < n; i++) together += (numbers[(i + moved) % n]! - own.mean) * (values[i]! - mean)
  return together ** 2 / (own.squares * squares)
}

/** share of the variance of values that a column explains by itself, 0..1 */
export const explainedAlone = (column: Column, values: Float64Array): number =>
  explainedBy(column.kind, asNumbers(column), values, 0)

/** A figure with its 90 % interval: parts of blocks are drawn together. */
const told = (x: Float64Array, y: Float64Array, statistic: (drawn: Sums) => number, block: number): ToldFigure => {
  const { mean } = spreadOf(x)
  const pairs = { x: x.map(value => value - mean), y }
  const [interval] = blockIntervals(pairs, [statistic], block, coverage, rounds, drawing(4711))
  const end = (value: number) => (Number.isFinite(value) ? value : null)
  return { value: statistic(sumsOf(pairs)), low: end(interval!.low), high: end(interval!.high) }
}

const isApart = ({ low, high }: ToldFigure) => low !== null && high !== null && (low > 0 || high < 0)

/** A cause of which nothing is known but why not. */
export const untold = (suspect: OtherCause['suspect'], answer: OtherCause['answer']): OtherCause => ({
  suspect,
  answer,
  explained: null,
  chance: null,
  effect: null,
})

const ofColumn = (column: Column, left: Float64Array, block: number): OtherCause => {
  const { suspect, kind } = column
  if (!column.values.some(isSaid)) return untold(suspect, 'not recorded')
  if (!isUsable(column)) return untold(suspect, 'cannot be told')
  const numbers = asNumbers(column)
  const explained = explainedBy(kind, numbers, left, 0)
  // moved on round: it keeps its order, and what it is held against keeps its own
  const n = left.length
  const stride = Math.max(1, (n * n) / mostWork)
  let [asGood, tried] = [0, 0]
  for (let moved = 1; moved < n; moved += stride) {
    tried++
    if (explainedBy(kind, numbers, left, Math.round(moved)) >= explained * (1 - 1e-12)) asGood++
  }
  const chance = (asGood + 1) / (tried + 1)
  const means = new Map<number, number[]>()
  if (kind === 'group')
    for (const [i, group] of numbers.entries()) means.set(group, [...(means.get(group) ?? []), left[i]!])
  const each = [...means.values()].map(values => values.reduce((sum, value) => sum + value, 0) / values.length)
  const effect =
    kind === 'quantity'
      ? told(numbers, left, slopeOf, block)
      : { value: Math.max(...each) - Math.min(...each), low: null, high: null }
  // what comes back again and again, as wear does with each tool, goes as well when it is moved on by one round
  const isSure = kind === 'quantity' ? chance <= 4 * level && isApart(effect) : chance <= level
  const answer =
    explained >= leastExplained
      ? isSure
        ? 'explains'
        : 'cannot be told'
      : chance > level
        ? 'no sign'
        : 'cannot be told'
  return { suspect, answer, explained, chance, effect }
}

/**
 * What else the deviations may come from.
 *
 * @param left  m; what is looked at: what heat leaves of the deviations, in order of time
 * @param at    ms; when each part was cut
 * @param block how many neighbours go with each other
 * @param gauge m; standard deviation of one measurement by parts that were measured twice; null: none was
 */
export const otherCauses = (
  left: Float64Array,
  at: readonly number[],
  columns: readonly Column[],
  block: number,
  gauge: number | null,
): OtherCause[] => {
  const days = Float64Array.from(at, time => (time - at[0]!) / day)
  const slow = told(days, left, slopeOf, block)
  const offset = told(days, left, ({ y, n }) => y / n, block)
  const { squares } = spreadOf(left)
  const variance = squares / left.length
  const gaugeShare = gauge === null || !(variance > 0) ? null : Math.min(1, gauge ** 2 / variance)
  const answered = (figure: ToldFigure): OtherCause['answer'] =>
    figure.low === null ? 'cannot be told' : isApart(figure) ? 'explains' : 'no sign'
  return [
    ...columns.map(column => ofColumn(column, left, block)),
    {
      suspect: 'slow change',
      answer: answered(slow),
      explained: explainedBy('quantity', days, left, 0),
      chance: null,
      effect: slow,
    },
    { suspect: 'offset', answer: answered(offset), explained: null, chance: null, effect: offset },
    {
      suspect: 'gauge',
      answer:
        gaugeShare === null
          ? 'not recorded'
          : gaugeShare >= 0.5
            ? 'explains'
            : gaugeShare < leastExplained
              ? 'no sign'
              : 'cannot be told',
      explained: gaugeShare,
      chance: null,
      effect: gauge === null ? null : { value: gauge, low: null, high: null },
    },
  ]
}
