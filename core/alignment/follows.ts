import { drawing, shuffled } from '../statistics/drawing.js'
import { dot } from '../statistics/vectors.js'
import type { AlignmentCheck, Follows } from './check.js'
import { bothWays } from './slope.js'

/** checks; fewer tell nothing, for four points lie on some line too often. Judgement, no source */
const fewest = 5
/** K; a node whose temperature moved by less from check to check explains nothing. Judgement, no source */
const leastMoved = 0.5
/** how often the checks are shuffled: often enough that the chance is known to less than a hundredth */
const shuffles = 4999
/** 0..1; what is called following may come about by chance at most so often. Common practice, no source */
const level = 0.05
/** 0..1; and must explain at least this part of the variance. Common practice, no source */
const most = 0.5

const centred = (values: readonly number[]): Float64Array => {
  const mean = values.reduce((sum, value) => sum + value, 0) / values.length
  return Float64Array.from(values, value => value - mean)
}

const slopeIn = ({ readings }: AlignmentCheck, direction: string): number | undefined => {
  const reading = readings.find(each => each.direction === direction)
  if (!reading) return undefined
  return reading.reversed === undefined ? reading.value : bothWays(reading.value, reading.reversed).value
}

/**
 * Whether one direction of a kind of check goes with the temperature of a node, over all that were recorded.
 *
 * For each node whose temperature is known at every check: the share of the variance that a straight line on it explains.
 * The best of them is told, and how often a best one explains as much when the checks are shuffled, which counts that many
 * nodes were looked at (permutation test of the largest statistic).
 *
 * @param checks    of one kind
 * @param direction as the checks name it
 * @returns nothing but the number of checks where that cannot be told
 * @see Westfall, P. H. & Young, S. S. (1993), Resampling-Based Multiple Testing: maxT
 */
export const followsTemperature = (checks: readonly AlignmentCheck[], direction: string): Omit<Follows, 'kind'> => {
  const told = checks.filter(check => slopeIn(check, direction) !== undefined)
  const nothing = {
    direction,
    checks: told.length,
    finding: 'cannot be told' as const,
    node: null,
    slope: null,
    explained: null,
    chance: null,
  }
  if (told.length < fewest) return nothing
  const values = centred(told.map(check => slopeIn(check, direction)!))
  const variance = dot(values, values)
  const nodes = Object.keys(told[0]!.temperatures).flatMap(node => {
    const all = told.map(({ temperatures }) => temperatures[node])
    if (all.some(each => each === undefined)) return []
    const known = all as number[]
    return Math.max(...known) - Math.min(...known) < leastMoved ? [] : [{ node, at: centred(known) }]
  })
  if (nodes.length === 0 || !(variance > 0)) return nothing
  const explainedBy = (of: Float64Array) => nodes.map(({ at }) => dot(at, of) ** 2 / (dot(at, at) * variance))
  const each = explainedBy(values)
  const best = Math.max(...each)
  const { node, at } = nodes[each.indexOf(best)]!
  const draw = drawing(4711)
  let asGood = 0
  for (let i = 0; i < shuffles; i++)
    if (Math.max(...explainedBy(Float64Array.from(shuffled(values, draw)))) >= best * (1 - 1e-12)) asGood++
  const chance = (asGood + 1) / (shuffles + 1)
  return {
    ...nothing,
    // by few checks "does not" is never shown: only that it has not been seen
    finding:
      chance <= level && best >= most
        ? 'follows'
        : chance > 0.5 && told.length >= 2 * fewest
          ? 'does not'
          : 'cannot be told',
    node,
    slope: dot(at, values) / dot(at, at),
    explained: best,
    chance,
  }
}
