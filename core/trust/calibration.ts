import { formatDuration } from '../format.js'
import type { Doubt } from './doubt.js'

/**
 * An expired calibration.
 *
 * @param due ms; when the next calibration is due; null when none is asked for
 * @param now ms
 */
export const calibrationExpired = (due: number | null, now: number): Doubt | null =>
  due === null || now <= due
    ? null
    : {
        reason: `its calibration expired ${formatDuration((now - due) / 1000)} ago`,
        remedy: 'Calibrate it and enter the new date and offset.',
      }
