import { useId, useState } from 'preact/hooks'
import type { Zone } from '../../core/format.js'
import { clockOf } from '../../core/written-time.js'
import { fieldClock, fieldMoment, readMoment } from './field-moment.js'

interface Props {
  label: string
  value: string
  zone: Zone
  onChange: (value: string) => void
  /** when what was typed is left, or Enter pressed */
  onDone?: (value: string) => void
}

interface TypedProps extends Omit<Props, 'zone'> {
  /** what is right, in words */
  remedy: string
  isRight: (text: string) => boolean
  required: boolean
  size: number
}

/** A text that must be of a form; what is wrong is said beside it once it is left, and by the form when it is sent. */
const Typed = ({ label, value, remedy, isRight, required, size, onChange, onDone }: TypedProps) => {
  const id = useId()
  const [left, setLeft] = useState(false)
  const wrong = (text: string) => text.trim() !== '' && !isRight(text)
  const shown = left && wrong(value)
  return (
    <div class="field">
      <label for={id}>{label}</label>
      <input
        id={id}
        type="text"
        autocomplete="off"
        spellcheck={false}
        required={required}
        size={size}
        value={value}
        aria-invalid={shown}
        aria-describedby={shown ? `${id}-problem` : undefined}
        onInput={({ currentTarget }) => {
          currentTarget.setCustomValidity(wrong(currentTarget.value) ? remedy : '')
          onChange(currentTarget.value)
        }}
        onBlur={() => setLeft(true)}
        onChange={({ currentTarget }) => onDone?.(currentTarget.value)}
      />
      {shown && (
        <span id={`${id}-problem`} class="field-problem">
          {remedy}
        </span>
      )}
    </div>
  )
}

/** A date and time of day, typed in. */
export const MomentField = ({ zone, ...props }: Props) => (
  <Typed
    {...props}
    remedy={`Write it as ${fieldMoment(Date.UTC(2026, 0, 14, 14, 30), zone)}.`}
    isRight={text => readMoment(text, zone) !== null}
    required
    size={19}
  />
)

/** A time of day, typed in. */
export const ClockField = ({ zone, required = false, ...props }: Props & { required?: boolean }) => (
  <Typed
    {...props}
    remedy={`Write it as ${fieldClock(14.5, zone)}.`}
    isRight={text => clockOf(text) !== null}
    required={required}
    size={9}
  />
)
