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
export const Figures = ({ answer, zone }: Props) => (
  <Table
    caption="Largest change by axis, and what a degree of the air does"
    rows={answer.axes}
    keyOf={({ axis }) => axis}
    columns={[
      { head: 'Axis', names: true, cell: ({ axis }) => axis },
      {
        head: `Largest change within ${formatDuration(answer.window)}`,
        form: 'number',
        cell: ({ worst }) => <strong>{formatGrowth(worst?.change ?? null, units.value, 'plain')}</strong>,
      },
      {
        head: 'Window',
        form: 'nowrap',
        cell: ({ worst }) => (worst && worst.change > 0 ? formatStretch(worst.from, worst.to, zone) : notKnown),
      },
      {
        head: 'Air swing in it',
        form: 'number',
        cell: ({ worst }) => formatDifference(worst?.airSwing ?? null, units.value, 'plain'),
      },
      {
        head: 'Change per degree in it',
        form: 'number',
        cell: ({ worst }) => formatSensitivity(worst?.ratio ?? null, units.value),
      },
      {
        head: 'Sensitivity, whole period (k = 2)',
        form: 'number',
        cell: ({ sensitivity: s }) =>
          s ? formatSensitivity(s.slope, units.value, 2 * s.standardError) : 'air too steady',
      },
      {
        head: 'Lag',
        form: 'number',
        cell: ({ sensitivity }) => (sensitivity ? formatDuration(sensitivity.lag / 1000) : notKnown),
      },
      {
        head: 'Explained',
        form: 'number',
        cell: ({ sensitivity }) => (sensitivity ? formatShare(sensitivity.explained) : notKnown),
      },
    ]}
  />
)
