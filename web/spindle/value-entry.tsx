import { useState } from 'preact/hooks'
import { growthScale, lengthScale, type Scale, type UnitSystem } from '../../core/format.js'
import type { SpindlePlan } from '../../core/spindle/index.js'
import { Button } from '../frame/button.js'
import { units } from '../preferences.js'

/** In what a reading is typed: an indicator's small steps, or a tool's whole length as the control shows it. */
export const readingScale = (
  { readWith }: Pick<SpindlePlan, 'readWith'>,
  system: UnitSystem,
): Scale & { decimals: number } =>
  readWith === 'tool-length probing'
    ? { ...lengthScale[system], decimals: system === 'metric' ? 4 : 5 }
    : { ...growthScale[system], decimals: system === 'inch' ? 5 : 1 }

/** @param value m @returns "12 µm", without decimals that say nothing */
export const readingText = (value: number, { unit, of, decimals }: ReturnType<typeof readingScale>): string =>
  `${String(Number(of(value).toFixed(decimals))).replace('-', '−')} ${unit}`

interface Props {
  plan: SpindlePlan
  /** m; what the buttons start from */
  from: number
  label: string
  /** "Keep" */
  action: string
  onKeep: (value: number) => void
}

/** A reading by big buttons: a step more, a step less, or typed; for a thumb beside a machine. */
export const ValueEntry = ({ plan, from, label, action, onKeep }: Props) => {
  const system = units.value
  const scale = readingScale(plan, system)
  const { unit, of, decimals } = scale
  const written = (value: number) => String(Number(of(value).toFixed(decimals)))
  const [typed, setTyped] = useState(written(from))
  const amount = Number(typed.trim().replace(',', '.').replace('−', '-'))
  const value = typed.trim() === '' || !Number.isFinite(amount) ? null : amount / of(1)
  const size = plan.resolution > 0 ? plan.resolution : system === 'metric' ? 1e-6 : 2.54e-6
  const by = (steps: number) => setTyped(written((value ?? from) + steps * size))
  return (
    <form
      class="stack value-entry"
      noValidate
      onSubmit={event => {
        event.preventDefault()
        if (value !== null) onKeep(value)
      }}
    >
      <label class="field value-field">
        <span>
          {label}, {unit}
        </span>
        <input
          inputMode="decimal"
          autocomplete="off"
          value={typed}
          onInput={event => setTyped(event.currentTarget.value)}
        />
      </label>
      <div class="value-steps">
        {[-10, -1, 1, 10].map(steps => (
          <Button
            key={steps}
            class="is-big"
            aria-label={`${steps > 0 ? 'more' : 'less'} by ${readingText(Math.abs(steps) * size, scale)}`}
            onClick={() => by(steps)}
          >
            {steps > 0 ? '+' : '−'}
            {String(Number(of(Math.abs(steps) * size).toPrecision(4)))}
          </Button>
        ))}
        <Button class="is-big" aria-label="other sign" onClick={() => setTyped(written(-(value ?? 0)))}>
          ±
        </Button>
      </div>
      <button type="submit" class="button is-main is-big spindle-wide" disabled={value === null}>
        {value === null ? `Give a number in ${unit}` : `${action} ${readingText(value, scale)}`}
      </button>
    </form>
  )
}
