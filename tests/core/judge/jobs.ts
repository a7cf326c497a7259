import { thermalLoop } from '../../../core/growth/index.js'
import type { NodeOutlook, Outlook } from '../../../core/judge/index.js'
import type { Axis, Machine, Material, Screw, WorkClass } from '../../../core/shop.js'
import { aluminium, machineWith, screwAxis, workClass } from '../machines.js'

const iron: Material = { name: 'iron', alpha: 10.8e-6, alphaUncertainty: 0.06 }
const glass: Material = { name: 'glass', alpha: 8.5e-6, alphaUncertainty: 0.08 }
const plain = screwAxis('X', 'screw', { workAt: 0.3 })
const pretensioned = (stretch: number): Axis => ({
  ...plain,
  measuring: {
    ...(plain.measuring as Screw),
    mounting: { kind: 'both ends fixed', stretch, bed: { material: iron, nodes: { bed: 1 } } },
  },
})

/** Node temperatures now, and where they are heading, by node; the rest is the same for all. */
const outlookOf = (machine: Machine, states: Record<string, [now: number, steadyTemperature: number]>): Outlook => {
  const nodes = machine.nodes.map(({ id, kind }, i): NodeOutlook => {
    const [temperature, steadyTemperature] = states[id]!
    return {
      temperature,
      steadyTemperature,
      timeConstant: kind === 'air' ? Number.POSITIVE_INFINITY : 2400 * (1 + i / 2),
      timeConstantUncertainty: kind === 'air' ? 0 : 0.2,
      steadyUncertainty: kind === 'air' ? 0 : 0.15,
      calibration: 0.05,
      placement: 0.1 + 0.02 * i,
      follows: kind === 'air' ? -1 : 0,
      ordinaryChange: 0.2,
    }
  })
  const air = states.air![0]
  return {
    loop: thermalLoop(machine, 20),
    nodes,
    part: {
      temperature: air,
      steadyTemperature: air,
      timeConstant: 1800,
      uncertainty: 0.3,
      uncertaintySoaked: 0.3,
      slope: 0,
    },
    datum: null,
  }
}

const batch = { name: 'one delivery', uncertainty: 0.15 }
export const onScrew = outlookOf(machineWith({ nodes: ['screw'], axes: [plain] }), {
  air: [20.5, 20.5],
  screw: [22, 25],
})
const bed = machineWith({ nodes: ['screw', 'bed'], axes: [pretensioned(1)] })
const column = machineWith({
  nodes: ['screw', 'front', 'rear'],
  axes: [plain],
  structure: [
    {
      kind: 'bending column',
      id: 'column',
      name: 'column',
      axis: 'X',
      sign: 1,
      height: 0.7,
      depth: 0.35,
      material: iron,
      front: { front: 1 },
      rear: { rear: 1 },
    },
  ],
})

/** Jobs on one axis of machines that are built differently. */
export const jobs: Record<string, { outlook: Outlook; work: WorkClass }> = {
  'screw with one end fixed': { outlook: onScrew, work: workClass() },
  'pretensioned screw, held': {
    outlook: outlookOf({ ...bed, axes: [pretensioned(9)] }, { air: [21, 21], screw: [22, 25], bed: [21.5, 22.5] }),
    work: workClass(),
  },
  'pretensioned screw, pretension used up': {
    outlook: outlookOf(bed, { air: [21, 21], screw: [25, 28], bed: [21.5, 22] }),
    work: workClass(),
  },
  'linear scale': {
    outlook: outlookOf(
      machineWith({
        nodes: ['scale'],
        axes: [{ ...plain, measuring: { kind: 'scale', material: glass, nodes: { scale: 1 }, fixedAt: 0 } }],
      }),
      { air: [21, 21], scale: [22, 24] },
    ),
    work: workClass(),
  },
  'column that bends': {
    outlook: outlookOf(column, { air: [20.5, 20.5], screw: [22, 25], front: [22, 24], rear: [21.5, 21.5] }),
    work: workClass(),
  },
  'part that grows more than the machine': {
    outlook: onScrew,
    work: workClass({ material: aluminium, featureLength: 0.4 }),
  },
  'two castings of one material': {
    outlook: outlookOf(
      machineWith({
        nodes: ['scale', 'column', 'bed'],
        axes: [{ ...plain, measuring: { kind: 'scale', material: glass, nodes: { scale: 1 }, fixedAt: 0 } }],
        structure: [
          {
            kind: 'bar',
            id: 'c',
            name: 'column',
            axis: 'X',
            sign: 1,
            length: 0.6,
            material: iron,
            nodes: { column: 1 },
          },
          { kind: 'bar', id: 'b', name: 'bed', axis: 'X', sign: 1, length: 0.8, material: iron, nodes: { bed: 1 } },
        ],
      }),
      { air: [21, 21], scale: [22, 23], column: [21.5, 23], bed: [21, 22.5] },
    ),
    work: workClass(),
  },
  'sensors of one batch': {
    outlook: { ...onScrew, nodes: onScrew.nodes.map(node => ({ ...node, batch })) },
    work: workClass(),
  },
  'zeroed at the datum with a first part': {
    outlook: { ...onScrew, datum: { nodes: Float64Array.of(20.5, 20.8), part: 20.5, firstPart: true } },
    work: workClass({ zeroedAt: 'datum' }),
  },
  'zeroed at the datum at one place': {
    outlook: { ...onScrew, datum: { nodes: Float64Array.of(20.5, 20.8), part: 20.5, firstPart: false } },
    work: workClass({ zeroedAt: 'datum' }),
  },
  'a diameter': { outlook: onScrew, work: workClass({ readsDiameter: true }) },
}
