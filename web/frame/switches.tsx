import { useId } from 'preact/hooks'
import { setTheme, setUnits, type Theme, theme, units } from '../preferences.js'

interface Choice<T extends string> {
  legend: string
  value: T
  options: readonly { value: T; text: string }[]
  onChange: (value: T) => void
}

/** a few options side by side, one of which holds */
export const Choice = <T extends string>({ legend, value, options, onChange }: Choice<T>) => {
  const name = useId()
  return (
    <fieldset class="choice">
      <legend class="hidden">{legend}</legend>
      {options.map(option => (
        <label key={option.value}>
          <input
            type="radio"
            name={name}
            value={option.value}
            checked={option.value === value}
            onChange={() => onChange(option.value)}
          />
          <span>{option.text}</span>
        </label>
      ))}
    </fieldset>
  )
}

const unitOptions: readonly { value: 'metric' | 'inch'; text: string }[] = [
  { value: 'metric', text: 'µm °C' },
  { value: 'inch', text: 'in °F' },
]
const themeOptions: readonly { value: Theme; text: string }[] = [
  { value: 'system', text: 'Auto' },
  { value: 'light', text: 'Light' },
  { value: 'dark', text: 'Dark' },
]

export const Switches = () => (
  <div class="flow switches">
    <Choice
      legend="Units"
      value={units.value === 'metric' ? 'metric' : 'inch'}
      options={unitOptions}
      onChange={setUnits}
    />
    <Choice legend="Light or dark" value={theme.value} options={themeOptions} onChange={setTheme} />
  </div>
)
