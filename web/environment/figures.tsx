import {
  formatDifference,
  formatDuration,
  formatGrowth,
  formatSensitivity,
  formatShare,
  formatStretch,
  notKnown,
  type UnitSystem,
  type Zone,
} from '../../core/format.js'
import type { EnvironmentAnswer } from '../../server/http/schemas/measured.js'
import { Table } from '../frame/table.js'

interface Props {
  answer: EnvironmentAnswer
  system: UnitSystem
  zone: Zone
}

/** What the test says of every axis, in numbers. */
export const Figures = ({ answer, system, zone }: Props) => (
  <Table
    caption="Largest change by axis, and what a degree of the air does"
    rows={answer.axes}
    keyOf={({ axis }) => axis}
    columns={[
      { head: 'Axis', names: true, cell: ({ axis }) => axis },
      {
        head: `Largest change within ${formatDuration(answer.window)}`,
        form: 'number',
        cell: ({ worst }) => <strong>{formatGrowth(worst?.change ?? null, system, 'plain')}</strong>,
      },
      {
        head: 'Window',
        form: 'nowrap',
        cell: ({ worst }) => (worst && worst.change > 0 ? formatStretch(worst.from, worst.to, zone) : notKnown),
      },
      {
        head: 'Air swing in it',
        form: 'number',
        cell: ({ worst }) => formatDifference(worst?.airSwing ?? null, system, 'plain'),
      },
      {
        head: 'Change per degree in it',
        form: 'number',
        cell: ({ worst }) => formatSensitivity(worst?.ratio ?? null, system),
      },
      {
        head: 'Sensitivity, whole period (k = 2)',
        form: 'number',
        cell: ({ sensitivity: s }) => (s ? formatSensitivity(s.slope, system, 2 * s.standardError) : 'air too steady'),
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
