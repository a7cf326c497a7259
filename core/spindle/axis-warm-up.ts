import { z } from 'zod'
import { seconds } from '../quantities.js'
import type { Axis, Machine } from '../shop.js'

export const axisWarmUp = z
  .object({
    axis: z.string(),
    follows: z
      .enum(['screw', 'scale', 'coolant'])
      .describe('screw: moving the axis warms what its positions follow. scale, coolant: it does not'),
    timeConstant: seconds.nullable().describe('s; of the screw; null where it is not known, or not asked'),
    from: z
      .enum(['identified', 'assumed'])
      .nullable()
      .describe("identified from the screw's history, or assumed in the shop file; null with the time constant"),
    duration: seconds.nullable().describe('s; to move it as the work does, until nine tenths of that warmth have come'),
  })
  .meta({ id: 'AxisWarmUp' })
/** How long an axis must be moved before a shift. */
export type AxisWarmUp = z.infer<typeof axisWarmUp>

/** 0..1; of the warmth that moving brings a screw, what may still be to come. Judgement, no source */
const left = 0.1

/**
 * How long to move each axis so that its screw is as warm as its work keeps it, but for a tenth.
 *
 * @param identified s; time constants identified from history, by node; only those in use
 */
export const axisWarmUps = (
  { axes, nodes }: Pick<Machine, 'axes' | 'nodes'>,
  identified: Readonly<Record<string, number>>,
): AxisWarmUp[] =>
  axes.map(axis => {
    const none = { axis: axis.id, timeConstant: null, from: null, duration: null }
    if (axis.measuring.kind === 'scale') return { ...none, follows: 'scale' }
    const node = nodes.find(({ id }) => id === heaviest(axis))
    if (node?.kind === 'coolant') return { ...none, follows: 'coolant' }
    const known = node && identified[node.id]
    const timeConstant = known ?? node?.timeConstant
    if (timeConstant === undefined) return { ...none, follows: 'screw' }
    return {
      axis: axis.id,
      follows: 'screw',
      timeConstant,
      from: known === undefined ? 'assumed' : 'identified',
      duration: timeConstant * -Math.log(left),
    }
  })

/** The node that tells most of what measures an axis. */
const heaviest = ({ measuring }: Axis): string | undefined =>
  Object.entries(measuring.nodes).sort(([, a], [, b]) => b - a)[0]?.[0]
