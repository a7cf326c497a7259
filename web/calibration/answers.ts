import type { OffsetChange, TogetherWhere } from '../../core/state.js'
import type { CheckAnswer, RecordedChange } from '../../server/http/schemas/calibration.js'
import { ask, path, post } from '../api.js'
import type { Signature } from '../frame/signed.js'

/** Questions and writes about how sensors agree, and what they are corrected by. */

export interface Asked {
  /** ids with commas between, or "all" */
  sensors: string
  from: number
  to: number
}
export const checkPath = ({ sensors, from, to }: Asked, format?: 'csv'): string =>
  path('/api/calibration/check', { sensors, from, to, ...(format && { format }) })
export const fetchCheck = (asked: Asked, signal: AbortSignal): Promise<CheckAnswer> => ask(checkPath(asked), { signal })

const offsets = '/api/calibration/offsets'
export const recordPath = (format?: 'csv'): string => path(offsets, format ? { format } : {})
export const fetchRecord = (signal: AbortSignal): Promise<{ changes: RecordedChange[] }> =>
  ask(recordPath(), { signal })

export const postOffsets = (
  what: Signature & Asked & { where: TogetherWhere; accept: { sensor: string; offset: number }[] },
): Promise<{ changes: OffsetChange[] }> => post(offsets, what)
export const postTakeBack = (change: number, how: Signature): Promise<OffsetChange> =>
  post(`${offsets}/${change}/take-back`, how)
