import { DateTime } from 'luxon'
import { useEffect, useState } from 'preact/hooks'
import { Choice } from '../frame/Switches.js'
import { setQuery } from '../place.js'
import { type Span, spanAt, spans } from './span.js'

/** what a date and time field wants, in the shop's zone */
const local = (moment: number, zone: string): string =>
  DateTime.fromMillis(moment, { zone }).toFormat("yyyy-MM-dd'T'HH:mm")

const options = [...spans.map(s => ({ value: s.id, text: s.text })), { value: 'custom', text: 'From – to' }]

interface Props {
  span: Span
  now: number
  zone: string
}

/** Which stretch of time the charts show. */
export const SpanBar = ({ span, now, zone }: Props) => {
  const [asked, setAsked] = useState(span.kind === 'fixed')
  const range = spanAt(span, now)
  const [from, setFrom] = useState(local(range.from, zone))
  const [to, setTo] = useState(local(range.to, zone))
  const [problem, setProblem] = useState('')
  useEffect(() => setAsked(span.kind === 'fixed'), [span.kind])

  const choose = (id: string) => {
    if (id === 'custom') {
      setFrom(local(range.from, zone))
      setTo(local(range.to, zone))
      setAsked(true)
      return
    }
    setAsked(false)
    setQuery({ span: id, from: null, to: null })
  }
  const show = (event: Event) => {
    event.preventDefault()
    const begin = DateTime.fromISO(from, { zone })
    const end = DateTime.fromISO(to, { zone })
    if (!begin.isValid || !end.isValid) return setProblem('Give both times, with date and hour.')
    if (begin >= end) return setProblem('The first time must be before the second.')
    setProblem('')
    const iso = (t: DateTime) => t.toUTC().toFormat("yyyy-MM-dd'T'HH:mm'Z'")
    setQuery({ span: null, from: iso(begin), to: iso(end) })
  }
  return (
    <div class="span-bar">
      <Choice
        legend="Span"
        name="span"
        value={asked || span.kind === 'fixed' ? 'custom' : span.id}
        options={options}
        onChange={choose}
      />
      {asked && (
        <form class="span-form" onSubmit={show}>
          <label class="field">
            <span>From</span>
            <input type="datetime-local" required value={from} onInput={event => setFrom(event.currentTarget.value)} />
          </label>
          <label class="field">
            <span>To</span>
            <input type="datetime-local" required value={to} onInput={event => setTo(event.currentTarget.value)} />
          </label>
          <button type="submit" class="button is-main">
            Show
          </button>
          {problem && (
            <p class="problem" role="alert">
              {problem}
            </p>
          )}
        </form>
      )}
    </div>
  )
}
