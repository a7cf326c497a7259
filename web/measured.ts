import type { Signature } from '../core/quantities.js'
import type { Measurement } from '../core/state.js'
import { machinePath, path, post } from './api.js'

/** Questions and writes about what people measured on machines. */

interface Asked {
  from: number
  to: number
  /** s */
  window: number
}
export const environmentPath = (machine: string, asked: Asked, format?: 'csv'): string =>
  path(machinePath(machine, 'environment'), { ...asked, ...(format && { format }) })

export const logPath = (machine: string, log: number, window: number, format?: 'csv'): string =>
  path(machinePath(machine, `environment/logs/${log}`), { window, ...(format && { format }) })

export const learningPath = (machine: string, format?: 'csv'): string =>
  path(machinePath(machine, 'learning'), format ? { format } : {})

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
