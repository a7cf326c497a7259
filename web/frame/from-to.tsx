import { useState } from 'preact/hooks'
import type { Zone } from '../../core/format.js'
import { fieldMoment, readMoment } from './field-moment.js'
import { MomentField } from './moment-field.js'
import { Problem } from './problem.js'

interface Props {
  /** ms; what the fields begin with */
  range: { from: number; to: number }
  zone: Zone
  /** both moments as the page's address writes them */
  onShow: (from: string, to: string) => void
}

/** Two moments in the shop's zone, typed in. */
export const FromTo = ({ range, zone, onShow }: Props) => {
  const [from, setFrom] = useState(fieldMoment(range.from, zone))
  const [to, setTo] = useState(fieldMoment(range.to, zone))
  const [problem, setProblem] = useState('')
  const show = (event: Event) => {
    event.preventDefault()
    const begin = readMoment(from, zone)
    const end = readMoment(to, zone)
    if (begin === null || end === null)
      return setProblem(`Give both times, with date and hour: ${fieldMoment(range.from, zone)}.`)
    if (begin >= end) return setProblem('The first time must be before the second.')
    setProblem('')
    const iso = (t: number) => new Date(t).toISOString().replace(/:\d\d\.\d+Z$/, 'Z')
    onShow(iso(begin), iso(end))
  }
  return (
    <form class="fields is-close" onSubmit={show}>
      <MomentField label="From" zone={zone} value={from} onChange={setFrom} />
      <MomentField label="To" zone={zone} value={to} onChange={setTo} />
      <button type="submit" class="button is-main">
        Show
      </button>
      <Problem text={problem} />
    </form>
  )
}
