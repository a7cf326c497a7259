import { thermalLoop } from '../../../core/growth/index.js'
import type { NodeOutlook, Outlook } from '../../../core/judge/index.js'
import type { JobMachine, JobSituation, PlannedJob } from '../../../core/morning/index.js'
import type { Machine, Material } from '../../../core/shop.js'
import { aluminium, machineWith, screwAxis } from '../machines.js'

/** 07:00 on some day */
export const now = Date.UTC(2026, 0, 14, 7)
export const minute = 60_000
export const hour = 60 * minute

const plain = machineWith({ nodes: ['screw'], axes: [screwAxis('X', 'screw', { workAt: 0.3 })] })
export const machineNamed = (id: string): Machine => ({ ...plain, id, name: `Machine ${id}` })

/** °C; the air and the screw now, and where the screw is heading; all else is the same for all machines */
export interface State {
  air: number
  screw: number
  steady?: number
  part?: number
  timeConstant?: number
}

export const outlookOf = (
  machine: Machine,
  { air, screw, steady = air, part = air, timeConstant = 2700 }: State,
): Outlook => {
  const shared = { calibration: 0.05, placement: 0.1, ordinaryChange: 0.15 }
  const nodes: NodeOutlook[] = [
    {
      ...shared,
      temperature: air,
      steadyTemperature: air,
      timeConstant: Number.POSITIVE_INFINITY,
      timeConstantUncertainty: 0,
      steadyUncertainty: 0,
      follows: -1,
    },
    {
      ...shared,
      temperature: screw,
      steadyTemperature: steady,
      timeConstant,
      timeConstantUncertainty: 0.1,
      steadyUncertainty: 0.1,
      follows: 0,
    },
  ]
  return {
    loop: thermalLoop(machine, 20),
    nodes,
    part: {
      temperature: part,
      steadyTemperature: air,
      timeConstant: 1800,
      slope: 0,
      uncertainty: 0.2,
      uncertaintySoaked: 0.2,
    },
    datum: null,
  }
}

export const jobMachine = (id: string, state: State, more: Partial<JobMachine> = {}): JobMachine => ({
  id,
  outlook: outlookOf(machineNamed(id), state),
  unknowns: [],
  open: null,
  airChange: () => 0,
  disturbance: null,
  notes: [],
  busy: [],
  ...more,
})

export const unknownMachine = (id: string): JobMachine =>
  jobMachine(
    id,
    { air: 20, screw: 20 },
    {
      outlook: null,
      unknowns: [{ kind: 'missing', node: 'screw', name: 'X screw', why: { kind: 'no sensor' } }],
    },
  )

export const planned = (over: Partial<PlannedJob> = {}): PlannedJob => ({
  id: 7,
  part: 'Pump housing',
  features: [{ name: 'bore', length: 0.12, tolerance: 22e-6 }],
  material: 'aluminium',
  machines: ['a'],
  start: now + 30 * minute,
  duration: 2700,
  share: 0.3,
  zeroedAt: 'job start',
  from: { kind: 'shop' },
  enteredAt: now - hour,
  by: 'KM',
  ...over,
})

export const situationWith = (over: Partial<JobSituation> = {}, material: Material = aluminium): JobSituation => {
  const machines = over.machines ?? [jobMachine('a', { air: 20, screw: 20 })]
  return {
    job: planned({ machines: machines.map(({ id }) => id) }),
    material,
    machines,
    now,
    shiftEnd: now + 9 * hour,
    outdoors: -2,
    partTimeConstant: null,
    ...over,
  }
}
