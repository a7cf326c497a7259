import { useState } from 'preact/hooks'
import { Problem } from './problem.js'

/** bytes; what the service takes */
const largest = 2 * 1024 * 1024

interface Props {
  label: string
  value: string
  onChange: (text: string) => void
}

/** A table as a file, or pasted. */
export const CsvFile = ({ label, value, onChange }: Props) => {
  const [problem, setProblem] = useState('')
  const read = async (file: File | undefined) => {
    if (!file) return
    if (file.size > largest) return setProblem('The file is larger than 2 MB. Send fewer rows: one a minute is plenty.')
    setProblem('')
    onChange(await file.text())
  }
  return (
    <>
      <label class="field">
        <span>{label}</span>
        <input
          type="file"
          accept=".csv,.txt,text/csv,text/plain"
          onChange={event => void read(event.currentTarget.files?.[0])}
        />
      </label>
      <label class="field">
        <span>or its text</span>
        <textarea
          class="csv-text"
          rows={5}
          required
          spellcheck={false}
          value={value}
          onInput={event => onChange(event.currentTarget.value)}
        />
      </label>
      <Problem text={problem} />
    </>
  )
}
