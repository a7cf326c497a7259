import { formatDateTime, formatOffset, notKnown, type UnitSystem } from '../../core/format.js'
import { Scrolls } from '../frame/Scrolls.js'
import type { CheckAnswer, CheckedSensor } from './answers.js'

const twice = (standardUncertainty: number | null) => 2 * (standardUncertainty ?? 0)

const finding = (s: CheckedSensor): string => {
  if (s.difference === null) return 'no readings throughout'
  if (!s.significant) return 'agrees'
  return s.difference > 0 ? 'reads high' : 'reads low'
}

interface Props {
  answer: CheckAnswer
  system: UnitSystem
  zone: string
  onAccept: (sensors: CheckedSensor[]) => void
}

/** Whether the period will do, and how each sensor stands against the median. */
export const Result = ({ answer, system, zone, onAccept }: Props) => {
  const { still, limits, sensors } = answer
  const compared = sensors.filter(s => s.difference !== null)
  const rate = (value: number) => `${formatOffset(value, system)}/h`
  const size = (value: number) => formatOffset(value, system).replace('+', '')
  // the largest first: those are what the check is for
  const rows = [...sensors].sort((a, b) => Math.abs(b.difference ?? 0) - Math.abs(a.difference ?? 0))
  const assumed = compared.filter(s => s.stepAssumed)
  return (
    <>
      <dl class="figures">
        <div>
          <dt>Period</dt>
          <dd class="is-words">
            {formatDateTime(answer.from, zone)} to {formatDateTime(answer.to, zone)}
          </dd>
        </div>
        <div>
          <dt>Drift of the median</dt>
          <dd>
            {rate(answer.drift)} <span class="quiet">at most {rate(limits.drift).replace('+', '±')}</span>
          </dd>
        </div>
        <div>
          <dt>Swing of the median</dt>
          <dd>
            {size(answer.swing)} <span class="quiet">at most {size(limits.swing)}</span>
          </dd>
        </div>
        <div>
          <dt>Sensors compared</dt>
          <dd>
            {compared.length} <span class="quiet">of {sensors.length}</span>
          </dd>
        </div>
      </dl>
      {still ? (
        <p>
          <strong>Still enough:</strong> the temperature changed less than the limits over the period.
        </p>
      ) : (
        <p class="problem">
          <strong>Not still enough.</strong> Sensors that follow at different speeds part company while the temperature
          changes, so no correction of this period can be accepted. Choose a calmer one.
        </p>
      )}
      <Scrolls label="Sensors against the median">
        <table class="table check-table">
          <caption class="hidden">Sensors against the median of all, the furthest first</caption>
          <thead>
            <tr>
              <th scope="col">Sensor</th>
              <th scope="col" class="number">
                Against the median (k = 2)
              </th>
              <th scope="col">Finding</th>
              <th scope="col" class="number">
                Offset now
              </th>
              <th scope="col" class="number">
                Proposed
              </th>
              <th scope="col">
                <span class="hidden">Accept</span>
              </th>
            </tr>
          </thead>
          <tbody>
            {rows.map(s => (
              <tr key={s.sensor} class={s.significant ? 'is-off' : ''}>
                <th scope="row">
                  {s.name} <span class="quiet check-place">{s.place}</span>
                </th>
                <td class="number">{formatOffset(s.difference, system, twice(s.standardUncertainty))}</td>
                <td>{finding(s)}</td>
                <td class="number" data-label="offset now">
                  {formatOffset(s.offset, system)}
                </td>
                <td class="number" data-label="proposed">
                  {s.proposed === null ? notKnown : formatOffset(s.proposed, system)}
                </td>
                <td>
                  {still && s.proposed !== null && (
                    <button
                      type="button"
                      class="button is-small"
                      aria-label={`Accept the correction of ${s.name}`}
                      onClick={() => onAccept([s])}
                    >
                      Accept …
                    </button>
                  )}
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      </Scrolls>
      {assumed[0] && (
        <p class="quiet">
          The readings of {assumed.map(s => s.name).join(', ')} never changed, so that nobody knows how coarse they are:
          steps of {size(assumed[0].step)} are assumed. Give the resolution in the shop file to know better.
        </p>
      )}
    </>
  )
}
