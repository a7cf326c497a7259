import type { RecordingChoices } from '../../core/facts.js'
import type { Signature } from '../../core/quantities.js'
import type { ImportFact, RecordingState } from '../../server/http/schemas/recording.js'
import { ask, path, post, send } from '../api.js'
import { recall } from '../preferences.js'

/** What the service says about the recording it holds; see /api/openapi.json. */

export const importsPath = (format?: 'csv'): string => path('/api/recording/imports', format ? { format } : {})
export const fetchImports = (signal: AbortSignal): Promise<{ imports: ImportFact[] }> => ask(importsPath(), { signal })

export const recordingPath = (format?: 'csv'): string => path('/api/recording', format ? { format } : {})
export const fetchRecording = (signal: AbortSignal): Promise<RecordingState> => ask(recordingPath(), { signal })

const authorization = (): Record<string, string> => {
  const token = recall('token')
  return token ? { authorization: `Bearer ${token}` } : {}
}

export const sendRecording = (file: File): Promise<RecordingState> =>
  send(path('/api/recording', { name: file.name.slice(0, 200) }), file)
export const postImport = (id: number, signature: Signature): Promise<RecordingState> =>
  post('/api/recording/import', { id, ...signature })
export const postChoices = (id: number, choices: RecordingChoices): Promise<RecordingState> =>
  post('/api/recording/choices', { id, choices })
export const postTakeBack = (id: number, signature: Signature): Promise<{ readings: number }> =>
  post(`/api/recording/imports/${id}/take-back`, signature)
export const discardRecording = (): Promise<RecordingState> =>
  ask('/api/recording', { method: 'DELETE', headers: authorization() })

/** @param from ms @param to ms @param sensors all when empty */
export const readingsPath = (sensors: readonly string[], from: number, to: number): string =>
  path('/api/readings', { ...(sensors.length > 0 && { sensors: sensors.join(',') }), from, to })

/** "1 row", "3 rows" */
export const counted = (count: number, one: string, many = `${one}s`): string => `${count} ${count === 1 ? one : many}`
