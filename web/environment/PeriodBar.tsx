import { DateTime } from 'luxon'
import { useEffect, useState } from 'preact/hooks'
import { Choice } from '../frame/Switches.js'
import { setQuery } from '../place.js'
import { type Period, periods, windows } from './period.js'

const local = (moment: number, zone: string): string =>
  DateTime.fromMillis(moment, { zone }).toFormat("yyyy-MM-dd'T'HH:mm")

const options = [...periods.map(p => ({ value: p.id as string, text: p.text })), { value: 'fixed', text: 'From – to' }]

interface Props {
  period: Period
  range: { from: number; to: number }
  window: string
  zone: string
}

/** Which stretch of rest is looked at, and the length of the window in it. */
export const PeriodBar = ({ period, range, window, zone }: Props) => {
  const [asked, setAsked] = useState(period.kind === 'fixed')
  const [from, setFrom] = useState(local(range.from, zone))
  const [to, setTo] = useState(local(range.to, zone))
  const [problem, setProblem] = useState('')
  useEffect(() => setAsked(period.kind === 'fixed'), [period.kind])

  const choose = (id: string) => {
    setAsked(id === 'fixed')
    if (id !== 'fixed') return setQuery({ period: id, from: null, to: null })
    setFrom(local(range.from, zone))
    setTo(local(range.to, zone))
  }
  const show = (event: Event) => {
    event.preventDefault()
    const begin = DateTime.fromISO(from, { zone })
    const end = DateTime.fromISO(to, { zone })
    if (!begin.isValid || !end.isValid) return setProblem('Give both times, with date and hour.')
    if (begin >= end) return setProblem('The first time must be before the second.')
    setProblem('')
    const iso = (t: DateTime) => t.toUTC().toFormat("yyyy-MM-dd'T'HH:mm'Z'")
    setQuery({ period: null, from: iso(begin), to: iso(end) })
  }
  return (
    <div class="period-bar">
      <div class="period-row">
        <span class="period-label">Period at rest</span>
        <Choice
          legend="Period at rest"
          name="period"
          value={asked || period.kind === 'fixed' ? 'fixed' : period.id}
          options={options}
          onChange={choose}
        />
      </div>
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
      <div class="period-row">
        <span class="period-label">Window</span>
        <Choice
          legend="Length of the window"
          name="window"
          value={window}
          options={windows.map(w => ({ value: w.id, text: w.text }))}
          onChange={id => setQuery({ window: id })}
        />
      </div>
    </div>
  )
}
