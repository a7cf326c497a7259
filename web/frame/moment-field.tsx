import { DateTime } from 'luxon'
import { type Zone, zoneName } from '../../core/format.js'

/** A moment as a date and time field wants it, in the shop's zone. @param moment ms */
export const fieldMoment = (moment: number, zone: Zone): string =>
  DateTime.fromMillis(moment, { zone: zoneName(zone) }).toFormat("yyyy-MM-dd'T'HH:mm")

interface Props {
  label: string
  value: string
  onChange: (value: string) => void
}

/** A date and time, typed in. */
export const MomentField = ({ label, value, onChange }: Props) => (
  <label class="field">
    <span>{label}</span>
    <input type="datetime-local" required value={value} onInput={event => onChange(event.currentTarget.value)} />
  </label>
)
