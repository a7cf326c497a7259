import { useState } from 'preact/hooks'
import type { Shop } from '../../core/shop.js'
import { path } from '../api.js'
import { Card } from '../frame/card.js'
import { fieldMoment, readMoment } from '../frame/field-moment.js'
import { MomentField } from '../frame/moment-field.js'
import { now } from '../live/state.js'

const day = 86_400_000

/** Readings of some sensors as a file in the form that is imported and replayed. */
export const Export = ({ shop }: { shop: Shop }) => {
  const zone = shop
  const [until] = useState(() => now.peek() ?? Date.now())
  const [from, setFrom] = useState(fieldMoment(until - day, zone))
  const [to, setTo] = useState(fieldMoment(until + 60_000, zone))
  const [chosen, setChosen] = useState<string[]>([])
  const begin = readMoment(from, zone)
  const end = readMoment(to, zone)
  const right = begin !== null && end !== null && begin < end

  return (
    <Card id="export" text="Readings as a recording" about="recordings#readings-as-csv">
      <p class="quiet">
        Single readings, as measured, in the form that is imported above and replayed by <code>npm run replay</code>.
      </p>
      <div class="fields recording-export">
        <label class="field">
          <span>Sensors; none chosen means all</span>
          <select
            multiple
            size={6}
            onChange={event => setChosen([...event.currentTarget.selectedOptions].map(option => option.value))}
          >
            {shop.sensors.map(({ id, name }) => (
              <option key={id} value={id}>
                {name}
              </option>
            ))}
          </select>
        </label>
        <div class="fields recording-span">
          <MomentField label="From" zone={zone} value={from} onChange={setFrom} />
          <MomentField label="To" zone={zone} value={to} onChange={setTo} />
          {right ? (
            <a
              href={path('/api/readings', {
                ...(chosen.length > 0 && { sensors: chosen.join(',') }),
                from: begin,
                to: end,
              })}
              download
            >
              {chosen.length === 0 ? 'All sensors’ readings' : `Readings of ${chosen.length} chosen`} as CSV
            </a>
          ) : (
            <p class="problem" role="alert">
              Give both times, the first before the second.
            </p>
          )}
        </div>
      </div>
    </Card>
  )
}
