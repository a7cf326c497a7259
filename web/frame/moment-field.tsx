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
