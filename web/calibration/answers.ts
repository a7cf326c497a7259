import { path } from '../api.js'

/** Questions and writes about how sensors agree, and what they are corrected by. */

interface Asked {
  /** ids with commas between, or "all" */
  sensors: string
  from: number
  to: number
}
export const checkPath = ({ sensors, from, to }: Asked, format?: 'csv'): string =>
  path('/api/calibration/check', { sensors, from, to, ...(format && { format }) })

export const recordPath = (format?: 'csv'): string => path('/api/calibration/offsets', format ? { format } : {})
