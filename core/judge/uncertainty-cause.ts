import type { LoopAxis } from '../growth/index.js'
import { soak } from '../settling/index.js'
import type { WorkClass } from '../shop.js'
import type { UncertaintyCause } from '../state.js'
import type { NominalError } from './job.js'
import { type NodeOutlook, type Outlook, type PartOutlook, partUncertainty } from './outlook.js'
import { type ContributionName, expansionOf, sensitivities } from './uncertainty.js'

/** K; a part further than this from the temperature of its surroundings is still soaking */
const soaked = 0.5

const rounded = (value: number) => Math.round(value * 1e3) / 1e3

/** s; longer nobody lets a part lie for a job. Judgement, no source */
const longestSoak = 24 * 3600

/**
 * How long a part must lie in its surroundings, as they are, until its temperature is known twice as well.
 *
 * @returns s, to five minutes; null where soaking does not do it
 */
const soakToHalve = (part: PartOutlook): number | null => {
  const { temperature, slope, steadyTemperature, timeConstant, uncertainty, uncertaintySoaked } = part
  for (let ahead = 300; ahead <= longestSoak; ahead += 300) {
    const then = soak({ at: 0, temperature, slope }, steadyTemperature, timeConstant, ahead)
    if (partUncertainty(uncertaintySoaked, then.slope) <= uncertainty / 2) return ahead
  }
  return null
}

/**
 * What stands behind a contribution to a job's uncertainty, so that it can be named: of a contribution that many nodes
 * make together, the node that makes most of it.
 *
 * @param nominal the job's error on that axis
 * @param name of the contribution
 * @returns null for a contribution that is none of the budget's
 */
export const causeOfUncertainty = (
  outlook: Outlook,
  axis: LoopAxis,
  workClass: WorkClass,
  nominal: NominalError,
  name: string,
): UncertaintyCause | null => {
  const { nodes, part, loop } = outlook
  const { machine } = loop
  const { size, position, begun } = sensitivities(outlook, axis, workClass)
  const named = (index: number) => ({ node: machine.nodes[index]!.id, name: machine.nodes[index]!.name })
  const passed = ({ timeConstant }: NodeOutlook) => workClass.duration / timeConstant
  const largest = (share: (node: NodeOutlook, index: number) => number): number => {
    const shares = axis.nodes.map(index => Math.abs(share(nodes[index]!, index)))
    return axis.nodes[shares.indexOf(Math.max(...shares))]!
  }
  const batchOf = (index: number) => nodes[index]?.batch
  const contributing: Record<ContributionName, () => UncertaintyCause> = {
    'temperature of the part': () => {
      const node = machine.nodes.findIndex(({ id }) => id === machine.workpiece.node)
      const soaking = Math.abs(part.steadyTemperature - part.temperature) > soaked
      const coolant = machine.nodes.find(({ kind, id }) => kind === 'coolant' && id !== machine.workpiece.node)
      return {
        kind: 'part',
        ...named(node),
        place: machine.nodes[node]!.kind,
        soaking,
        uncertainty: rounded(part.uncertainty),
        soakToHalve: soakToHalve(part),
        ...(coolant && { coolant: coolant.name }),
      }
    },
    'sensor placement': () => {
      const index = largest((node, i) => size[i]! * node.placement)
      return { kind: 'placement', ...named(index), uncertainty: rounded(nodes[index]!.placement) }
    },
    'sensor calibration': () => {
      const index = largest((node, i) => size[i]! * node.calibration)
      return { kind: 'calibration', ...named(index), uncertainty: rounded(nodes[index]!.calibration) }
    },
    'offset shared by a batch of sensors': () => {
      const ofAxis = largest((node, i) => size[i]! * (node.batch?.uncertainty ?? 0))
      const batch = batchOf(ofAxis) ?? nodes.find(node => node.batch)!.batch!
      return { kind: 'batch', batch: batch.name, uncertainty: rounded(batch.uncertainty) }
    },
    'expansion coefficient of the machine': () => {
      const share = expansionOf(outlook, axis, workClass, nominal)
      const shares = axis.elements.map(element => Math.abs(share(element) * element.material.alphaUncertainty))
      const { kind, name, material } = axis.elements[shares.indexOf(Math.max(...shares))]!
      const element = kind === 'bar' ? name : kind === 'bending column' ? 'column' : kind
      return { kind: 'expansion of the machine', element, relative: rounded(material.alphaUncertainty) }
    },
    'expansion coefficient of the part': () => ({
      kind: 'expansion of the part',
      material: workClass.material.name,
      relative: rounded(workClass.material.alphaUncertainty),
    }),
    'where the nodes are heading': () => {
      const index = largest((node, i) => begun[i]! * (1 - Math.exp(-passed(node))) * node.steadyUncertainty)
      const { steadyTemperature, temperature } = nodes[index]!
      return { kind: 'steady temperature', ...named(index), going: rounded(steadyTemperature - temperature) }
    },
    'time constants': () => {
      const index = largest((node, i) =>
        Number.isFinite(node.timeConstant)
          ? position[i]! *
            (node.steadyTemperature - node.temperature) *
            passed(node) *
            Math.exp(-passed(node)) *
            node.timeConstantUncertainty
          : 0,
      )
      return { kind: 'time constant', ...named(index), relative: rounded(nodes[index]!.timeConstantUncertainty) }
    },
    'ordinary changes of the air': () => {
      const index = largest((node, i) => position[i]! * (1 - Math.exp(-passed(node))) * node.ordinaryChange)
      const { follows, ordinaryChange } = nodes[index]!
      return { kind: 'air changes', ...named(follows < 0 ? index : follows), change: rounded(ordinaryChange) }
    },
    'own heat of the job': () => {
      const index = largest((node, i) => begun[i]! * (1 - Math.exp(-passed(node))) * (node.jobHeat?.uncertainty ?? 0))
      const { rise, uncertainty } = nodes[index]!.jobHeat!
      return { kind: 'job heat', ...named(index), rise: rounded(rise), uncertainty: rounded(uncertainty) }
    },
    'how far the bearing holds the screw': () => ({ kind: 'bearing' }),
    'growth of the spindle': () => ({
      kind: 'spindle',
      isLive: outlook.spindle!.isLive,
      testedAt: outlook.spindle!.testedAt,
    }),
  }
  return contributing[name as ContributionName]?.() ?? null
}
