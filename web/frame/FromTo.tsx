import { DateTime } from 'luxon'
import { useState } from 'preact/hooks'

/** what a date and time field wants, in the shop's zone */
const local = (moment: number, zone: string): string =>
  DateTime.fromMillis(moment, { zone }).toFormat("yyyy-MM-dd'T'HH:mm")

interface Props {
  /** ms; what the fields begin with */
  range: { from: number; to: number }
  zone: string
  /** both moments as the page's address writes them */
  onShow: (from: string, to: string) => void
}

/** Two moments in the shop's zone, typed in. */
export const FromTo = ({ range, zone, onShow }: Props) => {
  const [from, setFrom] = useState(local(range.from, zone))
  const [to, setTo] = useState(local(range.to, zone))
  const [problem, setProblem] = useState('')
  const show = (event: Event) => {
    event.preventDefault()
    const begin = DateTime.fromISO(from, { zone })
    const end = DateTime.fromISO(to, { zone })
    if (!begin.isValid || !end.isValid) return setProblem('Give both times, with date and hour.')
    if (begin >= end) return setProblem('The first time must be before the second.')
    setProblem('')
    const iso = (t: DateTime) => t.toUTC().toFormat("yyyy-MM-dd'T'HH:mm'Z'")
    onShow(iso(begin), iso(end))
  }
  return (
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
  )
}
