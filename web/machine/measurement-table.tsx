import { formatDateTime, formatGrowth, notKnown, type Zone } from '../../core/format.js'
import type { JudgedMeasurement } from '../../server/http/schemas/measured.js'
import { Button } from '../frame/button.js'
import { Table } from '../frame/table.js'
import { units } from '../preferences.js'

interface Props {
  measurements: readonly JudgedMeasurement[]
  zone: Zone
  onSetAside: (measurement: JudgedMeasurement) => void
}

const error = (m: JudgedMeasurement, computed: number | null) => (computed === null ? null : computed - m.value)

/** What was measured, and how far off the computation was, nominal and corrected. */
export const MeasurementTable = ({ measurements, zone, onSetAside }: Props) => (
  <Table
    caption="Measurements, newest first"
    rows={measurements}
    keyOf={({ id }) => id}
    classOf={({ why }) => (why ? 'quiet' : '')}
    columns={[
      { head: 'Read', form: 'nowrap', cell: ({ at }) => formatDateTime(at, zone) },
      { head: 'Zero', form: 'nowrap', cell: ({ zeroAt }) => formatDateTime(zeroAt, zone) },
      { head: 'Axis', cell: ({ axis }) => axis },
      [
        'Measured (k = 2)',
        m => `${formatGrowth(m.value, units.value)} ± ${formatGrowth(2 * m.uncertainty, units.value, 'plain')}`,
      ],
      ['Nominal error', m => formatGrowth(error(m, m.computed), units.value)],
      ['Error, day held out', m => formatGrowth(error(m, m.heldOut), units.value)],
      { head: 'Who', cell: ({ by }) => by },
      {
        head: 'Note',
        form: 'note',
        cell: m => (
          <>
            {m.note || (m.why ? '' : notKnown)}
            {m.why && (
              <>
                {m.note && '; '}
                <strong>not used: {m.why}</strong>
                {m.setAside && ` by ${m.setAside.by}${m.setAside.note && `, ${m.setAside.note}`}`}
              </>
            )}
          </>
        ),
      },
      {
        head: 'Set aside',
        form: 'number',
        plain: 'always',
        cell: m =>
          !m.setAside && (
            <Button
              small
              aria-label={`Set aside the measurement of ${m.axis} of ${formatDateTime(m.at, zone)}`}
              onClick={() => onSetAside(m)}
            >
              Set aside …
            </Button>
          ),
      },
    ]}
  />
)
