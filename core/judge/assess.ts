import type { WorkClass } from '../shop.js'
import type { AxisJob } from '../state.js'
import { toBecomeFit } from './decision-rule.js'
import { combinedError, errorRange, measuredError, type NominalError, nominalErrors } from './job.js'
import type { Outlook } from './outlook.js'
import { thermalErrorIndex } from './thermal-error-index.js'
import { contributions, expandedUncertainty } from './uncertainty.js'

/** s; how far ahead the fainter mark in a tolerance window shows the error */
export const hour = 3600

/** Thermal error of a job on every axis of a machine, and which axis is the worst. */
export interface Assessment {
  /** percent; the worst over the axes */
  index: number
  /** the same with as many standard uncertainties as a machine must have to become fit; to stay so; to do so for a moment */
  counted: number
  kept: number
  barely: number
  /** id of that axis */
  worst: string
  axes: AxisJob[]
  /** nominal errors in the order of the axes */
  nominal: NominalError[]
}

/**
 * Thermal error of a job of a work class begun now: every axis with its parts, uncertainty and index.
 *
 * @param outlook of the machine; all its nodes must be known
 * @returns errors and uncertainties in m, indices in percent
 */
export const assess = (outlook: Outlook, workClass: WorkClass): Assessment => {
  const nominal = nominalErrors(outlook, workClass)
  const later = nominalErrors(outlook, workClass, hour)
  let [index, counted, kept, barely] = [0, 0, 0, 0]
  const coverage = outlook.coverage ?? 2
  let worst = outlook.loop.axes[0]?.axis.id ?? ''
  const axes = outlook.loop.axes.map((axis, i): AxisJob => {
    const of = nominal[i]!
    const budget = contributions(outlook, axis, workClass, of)
    const uncertainty = expandedUncertainty(budget)
    const indexWith = (k: number) => thermalErrorIndex(combinedError(of), (k / 2) * uncertainty, workClass.tolerance)
    const own = indexWith(2)
    const [earning, keeping, losing] = [0, 1, 2].map(steps => indexWith(coverage - steps * toBecomeFit))
    if (!(earning! <= counted)) counted = earning!
    if (!(keeping! <= kept)) kept = keeping!
    if (!(losing! <= barely)) barely = losing!
    if (!(own <= index)) {
      index = own
      worst = axis.axis.id
    }
    return {
      axis: axis.axis.id,
      sizeError: of.sizeError,
      drift: of.drift,
      error: measuredError(of),
      range: errorRange(of),
      uncertainty,
      errorInHour: measuredError(later[i]!),
      rangeInHour: errorRange(later[i]!),
      budget,
      parts: [
        { name: 'size error', amount: of.sizeError },
        { name: 'drift within the job', amount: of.drift - of.spindle },
        ...(of.spindle !== 0 ? [{ name: 'growth of the spindle', amount: of.spindle }] : []),
      ].sort((a, b) => Math.abs(b.amount) - Math.abs(a.amount)),
    }
  })
  return { index, counted, kept, barely, worst, axes, nominal }
}

/** The same outlook, but where its bodies are heading is known as well as it usually is: a doubt of just now left out. */
export const asUsuallyKnown = (outlook: Outlook): Outlook => ({
  ...outlook,
  nodes: outlook.nodes.map(node => ({
    ...node,
    steadyUncertainty: Math.min(node.steadyUncertainty, node.usualSteadyUncertainty ?? node.steadyUncertainty),
  })),
})
