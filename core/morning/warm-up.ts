import type { Node } from '../shop.js'
import type { NodeState } from '../state.js'
import type { MachineMorning } from './check.js'

/** K; own heat below this is that of a machine at rest: what its electrics leave, and what sensors differ by. Judgement, no source */
const atRest = 1
/** 0..1, of the own heat; with less than this left to come, the machine is warmed up. Judgement, no source */
const left = 0.2

/**
 * Whether a machine is warmed up by its own heat: by the body that its work warms most above what it follows.
 *
 * @param nodes  as described
 * @param states as they are now, in the same order
 * @param heat   since when (ms) each body stands off by more than half of what it does now
 * @param now    ms
 */
export const warmUpOf = (
  nodes: readonly Node[],
  states: readonly NodeState[],
  heat: readonly { node: string; since: number }[],
  now: number,
): MachineMorning['warmUp'] => {
  const bodies = nodes.flatMap((node, i) => {
    const state = states[i]
    const followed = states.find(each => each.node === node.follows)
    if (!state || state.steadyExcess === null || state.temperature === null || !state.timeConstant) return []
    if (!followed || followed.temperature === null) return []
    const rest = node.steadyExcess ?? 0
    const steady = state.steadyExcess - rest
    const reached = state.temperature - followed.temperature - rest
    return [{ node: node.id, steady, reached, timeConstant: state.timeConstant }]
  })
  if (bodies.length === 0) return { kind: 'not known', since: null, until: null }
  const hottest = bodies.reduce((a, b) => (b.steady > a.steady ? b : a))
  if (hottest.steady < atRest) return { kind: 'at rest', since: null, until: null }
  const since = heat.find(({ node }) => node === hottest.node)?.since ?? null
  const toCome = hottest.steady - hottest.reached
  if (toCome <= left * hottest.steady) return { kind: 'warmed up', since, until: null }
  const wait = hottest.timeConstant * Math.log(toCome / (left * hottest.steady))
  return { kind: 'warming', since, until: now + 1000 * wait }
}
