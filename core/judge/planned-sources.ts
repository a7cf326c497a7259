import { type CourseAhead, spreadAt } from '../settling/index.js'
import type { Outlook } from './outlook.js'

/** Where the air and coolants of a machine go when sources change as planned. */
export interface PlannedCourse {
  /** s between values, the first of which is that of the interval that begins now */
  step: number
  /** °C, and standard uncertainty, K */
  nodes: readonly { node: string; temperature: readonly number[]; standardUncertainty: readonly number[] }[]
}

/**
 * The same outlook, but sources change as planned: the air and the coolants go as is told, as uncertain as their own forecasts are
 * besides, and bodies follow their air as they do under any plan.
 */
export const withSources = (outlook: Outlook, { step, nodes: planned }: PlannedCourse): Outlook => {
  const plannedOf = (i: number) => planned.find(({ node }) => node === outlook.loop.machine.nodes[i]?.id)
  return {
    ...outlook,
    nodes: outlook.nodes.map((node, i) => {
      const own = plannedOf(i)
      if (own) {
        const course = (): CourseAhead => {
          const usual = node.course?.()
          return {
            step,
            change: Float64Array.of(0, ...own.temperature.map(value => value - node.temperature)),
            spread: Float64Array.of(
              0,
              ...own.standardUncertainty.map((u, k) => Math.hypot(u, usual ? spreadAt(usual, (k + 1) * step) : 0)),
            ),
          }
        }
        return { ...node, hasLearned: true, course }
      }
      const isOfAir = node.follows >= 0 && outlook.loop.machine.nodes[node.follows]!.kind === 'air'
      return isOfAir && plannedOf(node.follows) ? { ...node, course: undefined } : node
    }),
  }
}
