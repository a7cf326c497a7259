import { useState } from 'preact/hooks'
import { Refused } from '../api.js'
import { writesNeedToken } from '../live/state.js'
import { recall, remember } from '../preferences.js'
import { type Recording, sendRecording } from './recording.js'

interface Props {
  /** bytes */
  largest: number
  /** another recording is being worked on */
  busy: boolean
  onSent: (recording: Recording) => void
}

/** The form that sends a file to be looked through. */
export const ChooseFile = ({ largest, busy, onSent }: Props) => {
  const [file, setFile] = useState<File | null>(null)
  const [problem, setProblem] = useState('')
  const [sending, setSending] = useState(false)
  const [asksToken, setAsksToken] = useState(writesNeedToken.value)
  const [token, setToken] = useState(recall('token'))
  const megabytes = Math.round(largest / 1024 / 1024)

  const send = async (event: Event) => {
    event.preventDefault()
    if (!file) return setProblem('Choose a file first.')
    if (file.size > largest)
      return setProblem(
        `The file is larger than ${megabytes} MB. Split it: rows that are there already are left as they are.`,
      )
    if (asksToken) remember('token', token.trim())
    setProblem('')
    setSending(true)
    try {
      onSent(await sendRecording(file))
    } catch (error) {
      if (error instanceof Refused && error.status === 401) setAsksToken(true)
      setProblem(error instanceof Error ? error.message : String(error))
    }
    setSending(false)
  }

  return (
    <form class="recording-form" onSubmit={send}>
      <label class="field">
        <span>Recording, a CSV file of up to {megabytes} MB</span>
        <input
          type="file"
          accept=".csv,.txt,text/csv,text/plain"
          onChange={event => setFile(event.currentTarget.files?.[0] ?? null)}
        />
      </label>
      {asksToken && (
        <label class="field">
          <span>Token, from whoever runs the service; this browser remembers it</span>
          <input
            type="password"
            required
            autocomplete="current-password"
            value={token}
            onInput={event => setToken(event.currentTarget.value)}
          />
        </label>
      )}
      <button type="submit" class="button is-main" disabled={sending || busy}>
        {sending ? 'Sending …' : 'Show what is in it'}
      </button>
      {problem && (
        <p class="problem" role="alert">
          {problem}
        </p>
      )}
    </form>
  )
}
