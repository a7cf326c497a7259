import {
  formatDateTime,
  formatDifference,
  formatDuration,
  formatGrowth,
  formatSensitivity,
  formatShare,
  notKnown,
  type UnitSystem,
} from '../../core/format.js'
import { Scrolls } from '../frame/Scrolls.js'
import type { EnvironmentAnswer } from '../measured.js'

interface Props {
  answer: EnvironmentAnswer
  system: UnitSystem
  zone: string
}

/** What the test says of every axis, in numbers. */
export const Figures = ({ answer, system, zone }: Props) => (
  <Scrolls label="Largest change by axis">
    <table class="table">
      <caption class="hidden">Largest change by axis, and what a degree of the air does</caption>
      <thead>
        <tr>
          <th scope="col">Axis</th>
          <th scope="col" class="number">
            Largest change within {formatDuration(answer.window)}
          </th>
          <th scope="col">Window</th>
          <th scope="col" class="number">
            Air swing in it
          </th>
          <th scope="col" class="number">
            Change per degree in it
          </th>
          <th scope="col" class="number">
            Sensitivity, whole period (k = 2)
          </th>
          <th scope="col" class="number">
            Lag
          </th>
          <th scope="col" class="number">
            Explained
          </th>
        </tr>
      </thead>
      <tbody>
        {answer.axes.map(({ axis, worst, sensitivity }) => (
          <tr key={axis}>
            <th scope="row">{axis}</th>
            <td class="number">
              <strong>{formatGrowth(worst?.change ?? null, system, 'plain')}</strong>
            </td>
            <td class="nowrap">
              {worst && worst.change > 0
                ? `${formatDateTime(worst.from, zone)} – ${formatDateTime(worst.to, zone).slice(-5)}`
                : notKnown}
            </td>
            <td class="number">{formatDifference(worst?.airSwing ?? null, system, 'plain')}</td>
            <td class="number">{formatSensitivity(worst?.ratio ?? null, system)}</td>
            <td class="number">
              {sensitivity
                ? formatSensitivity(sensitivity.slope, system, 2 * sensitivity.standardError)
                : 'air too steady'}
            </td>
            <td class="number">{sensitivity ? formatDuration(sensitivity.lag / 1000) : notKnown}</td>
            <td class="number">{sensitivity ? formatShare(sensitivity.explained) : notKnown}</td>
          </tr>
        ))}
      </tbody>
    </table>
  </Scrolls>
)
