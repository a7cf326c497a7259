import { ask, path, post } from '../api.js'
import type { Signature } from '../frame/signed.js'
import { recall } from '../preferences.js'

/** What the service says about the recording it holds; see /api/openapi.json. */

export interface Fault {
  line: number
  column: string
  kind: string
  problem: string
  remedy: string
}
export interface SensorPart {
  sensor: string
  name: string
  heading: string
  unit: '°C' | '°F' | 'K' | 'state'
  unitWritten: boolean
  readings: number
  lowest: number
  highest: number
}
export interface Account {
  readable: boolean
  form: 'rows' | 'columns' | null
  rows: number
  readings: number
  rowsRefused: number
  valuesRefused: number
  emptyCells: number
  repeatedHour: number
  from: number | null
  to: number | null
  sensors: SensorPart[]
  leftOut: { heading: string; why: string }[]
  unknown: { name: string; readings: number }[]
  samples: { line: number; time: string; written: string; sensor: string; at: number; value: number }[]
  faultCounts: { kind: string; count: number }[]
  faults: Fault[]
}
export interface Recording {
  id: number
  stage: 'nothing' | 'receiving' | 'reading' | 'ready' | 'importing' | 'imported' | 'stopped'
  name: string
  size: number
  part: number | null
  largest: number
  account: Account | null
  outcome: { added: number; alreadyThere: number } | null
  problem: string
  by: string
  at: number
}

export interface ImportFact {
  id: number
  at: number
  by: string
  note: string
  file: string
  ended: {
    at: number
    added: number
    alreadyThere: number
    rowsRefused: number
    valuesRefused: number
    problem: string
  } | null
}
export const importsPath = (format?: 'csv'): string => path('/api/recording/imports', format ? { format } : {})
export const fetchImports = (signal: AbortSignal): Promise<{ imports: ImportFact[] }> => ask(importsPath(), { signal })

export const recordingPath = (format?: 'csv'): string => path('/api/recording', format ? { format } : {})
export const fetchRecording = (signal: AbortSignal): Promise<Recording> => ask(recordingPath(), { signal })

const authorization = (): Record<string, string> => {
  const token = recall('token')
  return token ? { authorization: `Bearer ${token}` } : {}
}

/** the file itself is the body: the browser reads it while it sends, so its size does not matter here */
export const sendRecording = (file: File): Promise<Recording> =>
  ask(path('/api/recording', { name: file.name.slice(0, 200) }), {
    method: 'POST',
    headers: { 'content-type': 'text/csv', ...authorization() },
    body: file,
  })
export const postImport = (id: number, signature: Signature): Promise<Recording> =>
  post('/api/recording/import', { id, ...signature })
export const discardRecording = (): Promise<Recording> =>
  ask('/api/recording', { method: 'DELETE', headers: authorization() })

/** @param from ms @param to ms @param sensors all when empty */
export const readingsPath = (sensors: readonly string[], from: number, to: number): string =>
  path('/api/readings', { ...(sensors.length > 0 && { sensors: sensors.join(',') }), from, to })

/** "1 row", "3 rows" */
export const counted = (count: number, one: string, many = `${one}s`): string => `${count} ${count === 1 ? one : many}`
