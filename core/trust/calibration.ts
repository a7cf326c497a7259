import { dayNumber } from '../format.js'

/** days; a calibration is good for about so long */
const year = 365

/** How long a calibration has been overdue, and what that makes of its uncertainty. */
export interface OverdueCalibration {
  /** days since the day it was due */
  days: number
  /** how many times the standard uncertainty of the calibration counts now */
  factor: number
}

/**
 * A calibration past its due date. The sensor stays believed, for it need not have drifted; but nobody knows any more
 * that it has not. So the standard uncertainty of its calibration counts twice as soon as the day is over, and once
 * more for each further year, in proportion. Judgement, no source: how a sensor drifts is not known, and an error that
 * grows linearly by one standard uncertainty a year is more than the makers of resistance thermometers state.
 *
 * @param due ISO 8601 day; by its end it must have been calibrated again
 * @param now ms
 * @param timeZone IANA name, of the day
 * @returns null until that day is over
 */
export const calibrationOverdue = (due: string, now: number, timeZone: string): OverdueCalibration | null => {
  const days = dayNumber(now, timeZone) - Date.parse(`${due}T00:00:00Z`) / 86_400_000
  return days > 0 ? { days, factor: 2 + days / year } : null
}

/** What to do about it. */
export const overdueRemedy =
  'Have it calibrated, and enter date and due in the shop file; until then a common-temperature check tells whether it still agrees with the others.'
