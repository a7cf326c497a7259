import { z } from 'zod'
import { columnSlope } from '../growth/index.js'
import { metres } from '../quantities.js'
import type { Machine, NodeWeights } from '../shop.js'
import type { GrowthTest } from './growth-test.js'
import type { PlannedTool } from './tool-plan.js'

/** How far a column that bends tilts the head that it carries. */
export interface HeadTilt {
  /** along which the column leans */
  axis: string
  /** m/m; since the datum where its temperatures are known, else against an evenly warm column */
  slope: number
  sinceDatum: boolean
}

const mean = (weights: NodeWeights, temperatures: Readonly<Record<string, number>>): number =>
  Object.entries(weights).reduce((sum, [node, weight]) => sum + weight * (temperatures[node] ?? Number.NaN), 0)

/**
 * Tilt of the head by each column that is warmer on one side. A tool leans with it, so that its tip moves by its length
 * times the tilt beside what the column's bending moves the head.
 *
 * @param now   °C by node
 * @param datum °C by node when the machine was zeroed; null where no datum is in force
 * @returns one for each axis along which a column bends and whose temperatures are known
 */
export const headTilts = (
  { structure }: Pick<Machine, 'structure'>,
  now: Readonly<Record<string, number>>,
  datum: Readonly<Record<string, number>> | null,
): HeadTilt[] => {
  const found = new Map<string, HeadTilt>()
  for (const element of structure) {
    if (element.kind !== 'bending column') continue
    const difference = (temperatures: Readonly<Record<string, number>>) =>
      mean(element.front, temperatures) - mean(element.rear, temperatures)
    const then = datum ? difference(datum) : Number.NaN
    const sinceDatum = Number.isFinite(then)
    const change = difference(now) - (sinceDatum ? then : 0)
    if (!Number.isFinite(change)) continue
    const slope = element.sign * columnSlope(element.material.alpha, change, element.height, element.depth)
    const before = found.get(element.axis)
    found.set(element.axis, {
      axis: element.axis,
      slope: slope + (before?.slope ?? 0),
      sinceDatum: sinceDatum && (before?.sinceDatum ?? true),
    })
  }
  return [...found.values()]
}

/** What a tilt of the head does to a tool of another length. */
const armError = z
  .object({
    tool: z.number().describe("index in the job's list of tools"),
    tools: z
      .object({ difference: metres.describe('m; longer than the first tool'), error: metres })
      .describe('m; what its length, other than that of the first tool, adds to what is cut'),
    indicator: z
      .object({ difference: metres.describe('m; longer than the tool or bar of the growth test'), error: metres })
      .nullable()
      .describe('m; likewise against the growth test; null where its length is not known'),
    beyond: z.boolean().describe('whether one of them is more than what the tool’s growth may use of its tolerance'),
  })
  .meta({ id: 'ArmError' })

export const armAnswer = z
  .object({
    slope: z.number().describe('m/m; tilt that it is worked out for, without its sign'),
    from: z
      .enum(['stated', 'since datum', 'now'])
      .describe(
        'said by somebody, or computed from the column’s temperatures: how they changed since the datum, or as they are now',
      ),
    axis: z.string().nullable().describe('along which; null where it is stated without an axis'),
    tools: z.array(armError),
    indicator: z
      .object({ difference: metres.describe('m; indicator above the work'), error: metres, beyond: z.boolean() })
      .nullable()
      .describe('m; growth test read at another height than the work’s; null where one of the heights is not known'),
  })
  .meta({ id: 'ArmAnswer' })
/** What a head's tilt makes of unlike lengths and heights. */
export type ArmAnswer = z.infer<typeof armAnswer>

/**
 * Errors that come of tools of unlike length, and of an indicator at another height than the tools, under one tilt: an arm
 * that is longer by d moves the tip by d times the tilt more (small angles). What all have alike, zeroing takes away.
 *
 * @param slope      m/m
 * @param first      index of the tool by which the work is zeroed
 * @param test       the growth test's tool length and indicator height
 * @param workHeight m above the table, where the tools cut; null where nobody says
 */
export const armErrors = (
  tools: readonly PlannedTool[],
  first: number,
  slope: number,
  test: Pick<GrowthTest, 'toolLength' | 'indicatorHeight'>,
  workHeight: number | null,
): Pick<ArmAnswer, 'tools' | 'indicator'> => {
  const tilt = Math.abs(slope)
  const against = (length: number, other: number) => ({
    difference: length - other,
    error: tilt * Math.abs(length - other),
  })
  const closest = Math.min(...tools.map(({ tolerance, share }) => tolerance * share))
  const height = test.indicatorHeight === null || workHeight === null ? null : against(test.indicatorHeight, workHeight)
  return {
    tools: tools.map(({ length, tolerance, share }, tool) => {
      const alike = against(length, tools[first]!.length)
      const indicator = test.toolLength === null ? null : against(length, test.toolLength)
      const beyond = Math.max(alike.error, indicator?.error ?? 0) > tolerance * share
      return { tool, tools: alike, indicator, beyond }
    }),
    indicator: height && { ...height, beyond: height.error > closest },
  }
}
