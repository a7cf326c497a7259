import { DateTime } from 'luxon'
import { type Zone, zoneName } from '../../core/format.js'

/** A moment as a date and time field wants it, in the shop's zone. @param moment ms */
export const fieldMoment = (moment: number, zone: Zone): string =>
  DateTime.fromMillis(moment, { zone: zoneName(zone) }).toFormat("yyyy-MM-dd'T'HH:mm")
