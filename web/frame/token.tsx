import { useState } from 'preact/hooks'
import { Refused } from '../api.js'
import { writesNeedToken } from '../live/state.js'
import { recall, remember } from '../preferences.js'

/** The token that a write needs when others can reach the service: its field, where it is asked for. */
export const useToken = () => {
  const [asked, setAsked] = useState(writesNeedToken.value)
  const [token, setToken] = useState(recall('token'))
  const field = asked && (
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
  )
  /** before a write */
  const keep = () => {
    if (asked) remember('token', token.trim())
  }
  /** what a failed write says; one that was refused for its token makes the field appear */
  const explained = (error: unknown): string => {
    if (error instanceof Refused && error.status === 401) setAsked(true)
    return error instanceof Error ? error.message : String(error)
  }
  return { field, keep, explained }
}
