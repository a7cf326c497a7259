import type { FactorChange, Measurement } from '../core/state.js'
import { ask, machinePath, path, post } from './api.js'
import type { Signature } from './frame/signed.js'

/** Questions and writes about what people measured on machines. */

interface Worst {
  change: number
  from: number
  to: number
  lowestAt: number
  highestAt: number
}
export interface LogSummary {
  id: number
  axis: string
  sign: 1 | -1
  enteredAt: number
  by: string
  note: string
  from: number
  to: number
  count: number
}
export interface AxisAtRest {
  axis: string
  growth: (number | null)[]
  worst: (Worst & { airSwing: number | null; ratio: number | null }) | null
  sensitivity: { slope: number; standardError: number; lag: number; explained: number; pairs: number } | null
}
export interface EnvironmentAnswer {
  from: number
  to: number
  window: number
  air: string
  interval: number
  at: number[]
  airTemperature: (number | null)[]
  axes: AxisAtRest[]
  logs: LogSummary[]
}
export interface LogAnswer {
  log: LogSummary
  comparison: {
    points: { at: number; measured: number; predicted: number; residual: number }[]
    rms: number
    rmsMeasured: number
    largest: { at: number; residual: number }
    leftOut: number
  } | null
  worst: Worst | null
}

interface Asked {
  from: number
  to: number
  /** s */
  window: number
}
export const environmentPath = (machine: string, asked: Asked, format?: 'csv'): string =>
  path(machinePath(machine, 'environment'), { ...asked, ...(format && { format }) })
export const fetchEnvironment = (machine: string, asked: Asked, signal: AbortSignal): Promise<EnvironmentAnswer> =>
  ask(environmentPath(machine, asked), { signal })

export const logPath = (machine: string, log: number, window: number, format?: 'csv'): string =>
  path(machinePath(machine, `environment/logs/${log}`), { window, ...(format && { format }) })
export const fetchLog = (machine: string, log: number, window: number, signal: AbortSignal): Promise<LogAnswer> =>
  ask(logPath(machine, log, window), { signal })

export type Sense = 'longer reads higher' | 'longer reads lower'
export const postLog = (
  machine: string,
  log: Signature & { axis: string; sense: Sense; csv: string },
): Promise<LogSummary> => post(machinePath(machine, 'environment/logs'), log)

export interface LearnedFactor {
  element: string
  axes: string[]
  factor: number
  uncertainty: number
  prior: number
  atLimit: boolean
}
export type JudgedMeasurement = Measurement & { computed: number | null; heldOut: number | null; why: string }
export interface LearningAnswer {
  measurements: JudgedMeasurement[]
  factors: LearnedFactor[]
  scatter: number
  heldOut: { occasions: number; nominal: number; corrected: number; better: number; improves: boolean } | null
  inUse: FactorChange | null
  changes: FactorChange[]
}
export const learningPath = (machine: string, format?: 'csv'): string =>
  path(machinePath(machine, 'learning'), format ? { format } : {})
export const fetchLearning = (machine: string, signal: AbortSignal): Promise<LearningAnswer> =>
  ask(learningPath(machine), { signal })

export interface OneMeasurement {
  axis: string
  zero: string
  time: string
  value: string
  uncertainty: string
}
export const postMeasurements = (
  machine: string,
  what: Signature & ({ one: OneMeasurement } | { csv: string }),
): Promise<{ measurements: Measurement[] }> => post(machinePath(machine, 'measurements'), what)
export const postSetAside = (machine: string, measurement: number, how: Signature): Promise<Measurement> =>
  post(machinePath(machine, `measurements/${measurement}/set-aside`), how)
export const postFactors = (
  machine: string,
  change: Signature & { factors: Record<string, number> | null },
): Promise<FactorChange> => post(machinePath(machine, 'factors'), change)
