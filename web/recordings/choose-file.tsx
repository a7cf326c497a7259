import { useState } from 'preact/hooks'
import type { RecordingState } from '../../server/http/schemas/recording.js'
import { path, send } from '../api.js'
import { Problem } from '../frame/problem.js'
import { useToken } from '../frame/token.js'

interface Props {
  /** bytes */
  largest: number
  /** another recording is being worked on */
  busy: boolean
  onSent: (recording: RecordingState) => void
}

/** The form that sends a file to be looked through. */
export const ChooseFile = ({ largest, busy, onSent }: Props) => {
  const [file, setFile] = useState<File | null>(null)
  const [problem, setProblem] = useState('')
  const [sending, setSending] = useState(false)
  const token = useToken()
  const megabytes = Math.round(largest / 1024 / 1024)

  const submit = async (event: Event) => {
    event.preventDefault()
    if (!file) return setProblem('Choose a file first.')
    if (file.size > largest)
      return setProblem(
        `The file is larger than ${megabytes} MB. Split it: rows that are there already are left as they are.`,
      )
    token.keep()
    setProblem('')
    setSending(true)
    try {
      onSent(await send<RecordingState>(path('/api/recording', { name: file.name.slice(0, 200) }), file))
    } catch (error) {
      setProblem(token.explained(error))
    }
    setSending(false)
  }

  return (
    <form class="fields recording-form" onSubmit={submit}>
      <label class="field">
        <span>Recording, a CSV file of up to {megabytes} MB</span>
        <input
          type="file"
          accept=".csv,.txt,text/csv,text/plain"
          onChange={event => setFile(event.currentTarget.files?.[0] ?? null)}
        />
      </label>
      {token.field}
      <button type="submit" class="button is-main" disabled={sending || busy}>
        {sending ? 'Sending …' : 'Show what is in it'}
      </button>
      <Problem text={problem} />
    </form>
  )
}
