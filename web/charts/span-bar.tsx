import { useEffect, useState } from 'preact/hooks'
import type { Zone } from '../../core/format.js'
import { setQuery } from '../address.js'
import { FromTo } from '../frame/from-to.js'
import { Choice } from '../frame/switches.js'
import { type Span, spanAt, spans } from './span.js'

const options = [...spans.map(s => ({ value: s.id, text: s.text })), { value: 'custom', text: 'From – to' }]

interface Props {
  span: Span
  now: number
  zone: Zone
}

/** Which stretch of time the charts show. */
export const SpanBar = ({ span, now, zone }: Props) => {
  const [asked, setAsked] = useState(span.kind === 'fixed')
  const range = spanAt(span, now)
  useEffect(() => setAsked(span.kind === 'fixed'), [span.kind])

  const choose = (id: string) => {
    if (id === 'custom') return setAsked(true)
    setAsked(false)
    setQuery({ span: id, from: null, to: null })
  }
  return (
    <div class="fields is-close span-bar">
      <Choice
        legend="Span"
        value={asked || span.kind === 'fixed' ? 'custom' : span.id}
        options={options}
        onChange={choose}
      />
      {asked && <FromTo range={range} zone={zone} onShow={(from, to) => setQuery({ span: null, from, to })} />}
    </div>
  )
}
