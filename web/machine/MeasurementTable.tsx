import { formatDateTime, formatGrowth, notKnown, type UnitSystem } from '../../core/format.js'
import { Scrolls } from '../frame/Scrolls.js'
import type { JudgedMeasurement } from '../measured.js'

interface Props {
  measurements: readonly JudgedMeasurement[]
  system: UnitSystem
  zone: string
  onSetAside: (measurement: JudgedMeasurement) => void
}

const error = (m: JudgedMeasurement, computed: number | null) => (computed === null ? null : computed - m.value)

/** What was measured, and how far off the computation was, nominal and corrected. */
export const MeasurementTable = ({ measurements, system, zone, onSetAside }: Props) => (
  <Scrolls label="Measurements">
    <table class="table">
      <caption class="hidden">Measurements, newest first</caption>
      <thead>
        <tr>
          <th scope="col">Read</th>
          <th scope="col">Zero</th>
          <th scope="col">Axis</th>
          <th scope="col" class="number">
            Measured (k = 2)
          </th>
          <th scope="col" class="number">
            Nominal error
          </th>
          <th scope="col" class="number">
            Error, day held out
          </th>
          <th scope="col">Who</th>
          <th scope="col">Note</th>
          <th scope="col">
            <span class="hidden">Set aside</span>
          </th>
        </tr>
      </thead>
      <tbody>
        {measurements.map(m => (
          <tr key={m.id} class={m.why ? 'quiet' : ''}>
            <td class="nowrap">{formatDateTime(m.at, zone)}</td>
            <td class="nowrap">{formatDateTime(m.zeroAt, zone)}</td>
            <td>{m.axis}</td>
            <td class="number">
              {formatGrowth(m.value, system)} ± {formatGrowth(2 * m.uncertainty, system, 'plain')}
            </td>
            <td class="number">{formatGrowth(error(m, m.computed), system)}</td>
            <td class="number">{formatGrowth(error(m, m.heldOut), system)}</td>
            <td>{m.by}</td>
            <td class="note">
              {m.note || (m.why ? '' : notKnown)}
              {m.why && (
                <>
                  {m.note && '; '}
                  <strong>not used: {m.why}</strong>
                  {m.setAside && ` by ${m.setAside.by}${m.setAside.note && `, ${m.setAside.note}`}`}
                </>
              )}
            </td>
            <td class="number">
              {!m.setAside && (
                <button
                  type="button"
                  class="button is-small"
                  aria-label={`Set aside the measurement of ${m.axis} of ${formatDateTime(m.at, zone)}`}
                  onClick={() => onSetAside(m)}
                >
                  Set aside …
                </button>
              )}
            </td>
          </tr>
        ))}
      </tbody>
    </table>
  </Scrolls>
)
