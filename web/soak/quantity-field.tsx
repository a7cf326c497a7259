import { useId, useState } from 'preact/hooks'
import type { Scale } from '../../core/format.js'
import { toSi } from '../charts/drawing.js'

interface Props {
  label: string
  /** from SI to the reader's unit, in proportion or shifted */
  scale: Scale
  /** SI; null when nothing is known */
  value: number | null
  /** SI */
  limits: { low: number; high: number }
  onChange: (si: number) => void
}

const digits = (amount: number, most: number) => String(Number(amount.toPrecision(most))).replace('-', '−')

/** A quantity in the reader's unit. What is typed stays as it is until it is right; then the value follows. */
export const QuantityField = ({ label, scale, value, limits, onChange }: Props) => {
  const { unit, of } = scale
  const id = useId()
  const [typed, setTyped] = useState<string | null>(null)
  const [problem, setProblem] = useState('')
  const take = (text: string) => {
    setTyped(text)
    const amount = Number(text.replace(',', '.').replace('−', '-'))
    const si = toSi(scale, amount)
    if (text.trim() === '' || !Number.isFinite(amount)) return setProblem(`Give a number in ${unit}.`)
    // an end of the range, typed in, is in it
    const slack = 1e-9 * (limits.high - limits.low)
    if (si < limits.low - slack || si > limits.high + slack)
      return setProblem(`Between ${digits(of(limits.low), 3)} and ${digits(of(limits.high), 3)} ${unit}.`)
    setProblem('')
    onChange(si)
  }
  return (
    <div class="field">
      <label for={id}>
        {label}, {unit}
      </label>
      <input
        id={id}
        inputMode="decimal"
        autocomplete="off"
        value={typed ?? (value === null ? '' : digits(of(value), 5))}
        aria-invalid={problem !== ''}
        aria-describedby={problem ? `${id}-problem` : undefined}
        onInput={event => take(event.currentTarget.value)}
        // what was right is shown as it was understood, in the unit chosen meanwhile
        onBlur={() => problem === '' && setTyped(null)}
      />
      {problem && (
        <p id={`${id}-problem`} role="alert">
          {problem} The answer is still for the value before.
        </p>
      )}
    </div>
  )
}
