import type { ComponentChildren } from 'preact'
import { useId } from 'preact/hooks'

/** what can be chosen, and how it is called where that is another word */
export type Option<T extends string> = T | { value: T; text: string } | { id: T; name: string }

interface SelectProps<T extends string> {
  id?: string
  value: T
  options: readonly Option<T>[]
  onChange: (value: T) => void
  required?: boolean
  'aria-label'?: string
  'aria-invalid'?: boolean
}

/** One of some. */
export const Select = <T extends string>({ value, options, onChange, ...more }: SelectProps<T>) => (
  <select {...more} value={value} onChange={event => onChange(event.currentTarget.value as T)}>
    {options.map(option => {
      const { id, name } =
        typeof option === 'string'
          ? { id: option, name: option }
          : 'id' in option
            ? option
            : { id: option.value, name: option.text }
      return (
        <option key={id} value={id} selected={id === value}>
          {name}
        </option>
      )
    })}
  </select>
)

export const SelectField = <T extends string>({
  label,
  class: name = 'field',
  ...select
}: SelectProps<T> & { label: ComponentChildren; class?: string }) => {
  const id = useId()
  return (
    <div class={name}>
      <label for={id}>{label}</label>
      <Select {...select} id={id} />
    </div>
  )
}

interface TextProps {
  label: string
  value: string
  onChange: (value: string) => void
  /** what the service said of it; empty when nothing */
  problem?: string
  hint?: ComponentChildren
  type?: 'text' | 'date'
  inputMode?: 'text' | 'decimal'
  /** characters */
  maxLength?: number
  placeholder?: string
  required?: boolean
}

/** A field whose mistake is said beside it. */
export const TextField = ({
  label,
  value,
  onChange,
  problem = '',
  hint,
  type = 'text',
  maxLength = 120,
  ...input
}: TextProps) => {
  const id = useId()
  const told = [problem && `${id}-problem`, hint && `${id}-hint`].filter(Boolean).join(' ')
  return (
    <div class="field">
      <label for={id}>{label}</label>
      <input
        autocomplete="off"
        {...input}
        // a date has the same attributes
        type={type as 'text'}
        maxLength={maxLength}
        id={id}
        value={value}
        aria-invalid={problem !== ''}
        aria-describedby={told || undefined}
        onInput={event => onChange(event.currentTarget.value)}
      />
      {hint && (
        <span id={`${id}-hint`} class="quiet">
          {hint}
        </span>
      )}
      {problem && (
        <span id={`${id}-problem`} class="field-problem">
          {problem}
        </span>
      )}
    </div>
  )
}
