import type { MorningCheck, PlannedJob } from '../../core/morning/index.js'
import type { EnteredAnswer, PreviewAnswer } from '../../server/http/schemas/jobs.js'
import { ask, post } from '../api.js'
import type { Signature } from '../frame/signed.js'
import type { JobCells } from './job-cells.js'

/** Questions and writes of the morning check. */

export const fetchMorning = (signal: AbortSignal): Promise<MorningCheck> => ask('/api/morning', { signal })

const ofJob = (job: PlannedJob, rest = ''): string => `/api/jobs/${job.id}${rest}`

export const postJob = (who: Signature, one: JobCells): Promise<EnteredAnswer> => post('/api/jobs', { ...who, one })
export const putJob = (who: Signature, job: PlannedJob, day: string, one: JobCells): Promise<PlannedJob> =>
  post(ofJob(job), { ...who, day, one }, 'PUT')
export const postWithdrawal = (who: Signature, job: PlannedJob, day: string): Promise<PlannedJob> =>
  post(ofJob(job, '/withdraw'), { ...who, day })
export const postJobTable = (who: Signature, csv: string): Promise<EnteredAnswer> => post('/api/jobs', { ...who, csv })
export const previewJobTable = (csv: string): Promise<PreviewAnswer> => post('/api/jobs/preview', { csv })
export const postTakeOver = (who: Signature, from: string): Promise<EnteredAnswer> =>
  post('/api/jobs/take-over', { ...who, ...(from && { from }) })
