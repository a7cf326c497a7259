import type { FactorChange, Measurement } from '../core/state.js'
import type {
  ComparisonAnswer,
  EnvironmentAnswer,
  LearningAnswer,
  LogSummary,
} from '../server/http/schemas/measured.js'
import { ask, machinePath, path, post } from './api.js'
import type { Signature } from './frame/signed.js'

/** Questions and writes about what people measured on machines. */

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
export const fetchLog = (
  machine: string,
  log: number,
  window: number,
  signal: AbortSignal,
): Promise<ComparisonAnswer> => ask(logPath(machine, log, window), { signal })

export type Sense = 'longer reads higher' | 'longer reads lower'
export const postLog = (
  machine: string,
  log: Signature & { axis: string; sense: Sense; csv: string },
): Promise<LogSummary> => post(machinePath(machine, 'environment/logs'), log)

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
