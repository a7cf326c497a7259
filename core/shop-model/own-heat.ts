import { drivingExcess, twoClasses } from '../settling/working-heat.js'
import { median } from '../statistics/median.js'
import { correlationOf } from './correlation.js'
import { known } from './known.js'
import { lagged } from './lag.js'
import type { MachineOverSpan, NodeEffects, NodeOverSpan } from './machine-effects.js'

/** intervals over which a body's driving excess is taken: with five minutes, a quarter of an hour */
const over = 3
/**
 * What tells a machine that works, as `WorkingHeat` has it: which fraction of the variance lies between rest and work, K between
 * them, and the fractions of the time between which it works. Judgement, no source.
 */
const tells = { explained: 0.6, apart: 0.25, least: 0.01, most: 0.85 }

/**
 * When a machine worked: where the driving excess of one of its bodies falls into rest and work, that tells.
 *
 * @returns for each interval; null where nothing tells
 */
export const whenItWorked = ({ nodes }: MachineOverSpan, spacing: number): boolean[] | null => {
  let best: { works: boolean[]; score: number } | null = null
  for (const node of nodes) {
    const own = excessOf(node, nodes, spacing, node.timeConstant)
    if (!own) continue
    const air = nodes.find(({ id }) => id === node.follows)!.temperature
    const values = known(own)
    const found = values.length < 100 ? null : twoClasses(values)
    if (!found || found.apart < tells.apart || found.above < tells.least || found.above > tells.most) continue
    const moved = own.map((q, i) => q - (own[i - over] ?? Number.NaN))
    const airMoved = air.map((value, i) => value - (air[i - over] ?? Number.NaN))
    const score = found.explained * (1 - correlationOf(moved, airMoved) ** 2)
    if (score > (best?.score ?? tells.explained)) best = { works: [...own].map(q => q > found.threshold), score }
  }
  return best?.works ?? null
}

/**
 * What a machine's own work added to its bodies: what drove each one beyond its rest while the machine worked and while the body
 * came to rest, its own time constant applied.
 *
 * @param works when the machine worked
 * @param begin index of the first interval that counts
 * @param timeConstantOf s; of a body
 * @returns K by node
 */
export const ownHeat = (
  { nodes }: MachineOverSpan,
  works: readonly boolean[],
  spacing: number,
  begin: number,
  timeConstantOf: (node: NodeOverSpan) => number,
): NodeEffects =>
  nodes.map(node => {
    const timeConstant = timeConstantOf(node)
    const own = excessOf(node, nodes, spacing, timeConstant)
    if (!own) return new Float64Array(node.temperature.length)
    // after work its heat goes on to come out of the core for about as long as the body takes to settle
    const lasting = Math.ceil(timeConstant / spacing)
    let left = 0
    const warm = works.map(does => {
      left = does ? lasting : left - 1
      return left >= 0
    })
    const those = (which: (i: number) => boolean) => known(own.filter((_, i) => which(i)))
    const atRest = those(i => !warm[i])
    const rest = atRest.length > 0 ? median(atRest) : median(those(i => !works[i]))
    const driven = own.map((q, i) => (i >= begin && warm[i] && !Number.isNaN(q) ? q - rest : 0))
    return lagged(driven, timeConstant, spacing, 0)
  })

const excessOf = (
  node: NodeOverSpan,
  nodes: readonly NodeOverSpan[],
  spacing: number,
  timeConstant: number,
): Float64Array | null => {
  const followed = node.kind === 'body' ? nodes.find(({ id }) => id === node.follows) : undefined
  if (!followed) return null
  const { temperature } = node
  const air = followed.temperature
  const excess = new Float64Array(temperature.length).fill(Number.NaN)
  for (let i = over; i < temperature.length; i++) {
    let around = (air[i]! + air[i - over]!) / 2
    for (let k = 1; k < over; k++) around += air[i - k]!
    // a mean over a quarter of an hour, put where its middle is
    const q = drivingExcess(temperature[i - over]!, temperature[i]!, around / over, timeConstant, over * spacing)
    excess[i - 1] = q
  }
  return excess
}
