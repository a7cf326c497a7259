import { useEffect, useState } from 'preact/hooks'
import type { Zone } from '../../core/format.js'
import { setQuery } from '../address.js'
import { FromTo } from '../frame/from-to.js'
import { type Period, periods, windows } from '../frame/period.js'
import { Choice } from '../frame/switches.js'

const options = [...periods.map(p => ({ value: p.id as string, text: p.text })), { value: 'fixed', text: 'From – to' }]

interface Props {
  period: Period
  range: { from: number; to: number }
  window: string
  zone: Zone
}

/** Which stretch of rest is looked at, and the length of the window in it. */
export const PeriodBar = ({ period, range, window, zone }: Props) => {
  const [asked, setAsked] = useState(period.kind === 'fixed')
  useEffect(() => setAsked(period.kind === 'fixed'), [period.kind])

  const choose = (id: string) => {
    setAsked(id === 'fixed')
    if (id !== 'fixed') setQuery({ period: id, from: null, to: null })
  }
  return (
    <div class="period-bar">
      <div class="flow period-row">
        <span class="period-label">Period at rest</span>
        <Choice
          legend="Period at rest"
          value={asked || period.kind === 'fixed' ? 'fixed' : period.id}
          options={options}
          onChange={choose}
        />
      </div>
      {asked && <FromTo range={range} zone={zone} onShow={(from, to) => setQuery({ period: null, from, to })} />}
      <div class="flow period-row">
        <span class="period-label">Window</span>
        <Choice
          legend="Length of the window"
          value={window}
          options={windows.map(w => ({ value: w.id, text: w.text }))}
          onChange={id => setQuery({ window: id })}
        />
      </div>
    </div>
  )
}
