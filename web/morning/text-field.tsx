import type { ComponentChildren } from 'preact'
import { useId } from 'preact/hooks'

interface Props {
  label: string
  value: string
  /** what the service said of it; empty when nothing */
  problem: string
  hint?: ComponentChildren
  required?: boolean
  onChange: (value: string) => void
}

/** A field whose mistake is said beside it. */
export const TextField = ({ label, value, problem, hint, required = false, onChange }: Props) => {
  const id = useId()
  const told = [problem && `${id}-problem`, hint && `${id}-hint`].filter(Boolean).join(' ')
  const common = {
    id,
    required,
    value,
    autocomplete: 'off',
    'aria-invalid': problem !== '',
    'aria-describedby': told || undefined,
    onInput: (event: { currentTarget: HTMLInputElement }) => onChange(event.currentTarget.value),
  } as const
  return (
    <div class="field">
      <label for={id}>{label}</label>
      <input {...common} type="text" maxLength={120} />
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
