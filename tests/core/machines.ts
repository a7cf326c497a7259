import type { ThermalLoop } from '../../core/growth/index.js'
import type { Outlook } from '../../core/judge/index.js'
import type { Axis, Machine, Material, Node, Sensor, StructureElement, WorkClass } from '../../core/shop.js'

export const steel: Material = { name: 'steel', alpha: 11.5e-6, alphaUncertainty: 0.05 }
export const aluminium: Material = { name: 'aluminium', alpha: 23.6e-6, alphaUncertainty: 0.03 }

export const body = (id: string, timeConstant = 3600): Node => ({
  id,
  name: id,
  kind: 'body',
  follows: 'air',
  timeConstant,
  timeConstantUncertainty: 0.3,
  placementUncertainty: 0.2,
  required: true,
})

export const air: Node = { id: 'air', name: 'air', kind: 'air', placementUncertainty: 0.2, required: true }

export const screwAxis = (
  id: string,
  node: string,
  {
    travel = 0.5,
    workAt = 0.25,
    fixedAt = 0,
    material = steel,
  }: { travel?: number; workAt?: number; fixedAt?: number; material?: Material } = {},
): Axis => ({
  id,
  travel,
  workAt,
  measuring: { kind: 'screw', material, nodes: { [node]: 1 }, fixedAt, mounting: { kind: 'one end fixed' } },
})

/** A machine with an air node and bodies that follow it. */
export const machineWith = ({
  nodes,
  axes,
  structure = [],
}: {
  nodes: string[]
  axes: Axis[]
  structure?: StructureElement[]
}): Machine => ({
  id: 'mill',
  name: 'Mill',
  description: 'invented',
  place: 'hall',
  nodes: [air, ...nodes.map(id => body(id))],
  axes,
  structure,
  workpiece: { node: 'air', uncertainty: 0.3, timeConstant: 1800 },
  exposedTo: [],
})

export const workClass = (over: Partial<WorkClass> = {}): WorkClass => ({
  id: 'close',
  name: 'Close work',
  tolerance: 22e-6,
  featureLength: 0.12,
  material: aluminium,
  duration: 2700,
  share: 0.3,
  zeroedAt: 'job start',
  ...over,
})

/** A sensor that sends a bare number in °C every minute. */
export const sensorEveryMinute = (id: string, at: Sensor['at']): Sensor => ({
  id,
  name: id,
  topic: `t/${id}`,
  payload: { kind: 'number' },
  unit: '°C',
  interval: 60,
  uncertainty: 0.05,
  offset: 0,
  at,
})

/** A part that has soaked at 20 °C. */
export const partAt20: Outlook['part'] = {
  temperature: 20,
  steadyTemperature: 20,
  timeConstant: 1800,
  uncertainty: 0.1,
  uncertaintySoaked: 0.1,
  slope: 0,
}

/** m against the reference temperature, by axis; what depends on a node without a temperature (°C, by id) is NaN */
export const growthOfAxes = (
  { machine, axes }: ThermalLoop,
  temperatures: Readonly<Record<string, number>>,
): { axis: string; atZero: number; atWork: number; atTravel: number }[] => {
  const t = machine.nodes.map(node => temperatures[node.id] ?? Number.NaN)
  return axes.map(({ axis, growthAt }) => ({
    axis: axis.id,
    atZero: growthAt(0, t),
    atWork: growthAt(axis.workAt, t),
    atTravel: growthAt(axis.travel, t),
  }))
}
