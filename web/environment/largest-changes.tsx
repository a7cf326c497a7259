import {
  formatDifference,
  formatDuration,
  formatGrowth,
  formatSensitivity,
  formatShare,
  formatStretch,
  notKnown,
  type Zone,
} from '../../core/format.js'
import type { EnvironmentAnswer } from '../../server/http/schemas/measured.js'
import { Table } from '../frame/table.js'
import { units } from '../preferences.js'

interface Props {
  answer: EnvironmentAnswer
  zone: Zone
}

/** What the test says of every axis, in numbers. */
export const LargestChanges = ({ answer, zone }: Props) => (
  <Table
    caption="Largest change by axis, and what a degree of the air does"
    rows={answer.axes}
    keyOf={({ axis }) => axis}
    columns={[
      { head: 'Axis', names: true, cell: ({ axis }) => axis },
      [
        `Largest change within ${formatDuration(answer.window)}`,
        ({ worst }) => <strong>{formatGrowth(worst?.change ?? null, units.value, 'plain')}</strong>,
      ],
      {
        head: 'Window',
        form: 'nowrap',
        cell: ({ worst }) => (worst && worst.change > 0 ? formatStretch(worst.from, worst.to, zone) : notKnown),
      },
      ['Air swing in it', ({ worst }) => formatDifference(worst?.airSwing ?? null, units.value, 'plain')],
      ['Change per degree in it', ({ worst }) => formatSensitivity(worst?.ratio ?? null, units.value)],
      [
        'Sensitivity, whole period (k = 2)',
        ({ sensitivity: s }) => (s ? formatSensitivity(s.slope, units.value, 2 * s.standardError) : 'air too steady'),
      ],
      ['Lag', ({ sensitivity }) => (sensitivity ? formatDuration(sensitivity.lag / 1000) : notKnown)],
      ['Explained', ({ sensitivity }) => (sensitivity ? formatShare(sensitivity.explained) : notKnown)],
    ]}
  />
)
