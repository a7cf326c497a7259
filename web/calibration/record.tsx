import { formatDateTime, formatOffset, formatStretch, type Zone } from '../../core/format.js'
import type { RecordedChange } from '../../server/http/schemas/calibration.js'
import { Button } from '../frame/button.js'
import { signedColumns, Table } from '../frame/table.js'
import { units } from '../preferences.js'

interface Props {
  changes: readonly RecordedChange[]
  zone: Zone
  onTakeBack: (change: RecordedChange) => void
}

/** every offset that was changed, newest first */
export const Record = ({ changes, zone, onTakeBack }: Props) => (
  <Table
    caption="Offsets accepted and taken back, newest first"
    rows={changes}
    keyOf={({ id }) => id}
    columns={[
      { head: 'When', form: 'nowrap', plain: 'on a card', cell: ({ at }) => formatDateTime(at, zone) },
      { head: 'Sensor', names: true, cell: ({ name }) => name },
      ['Old offset', ({ oldOffset }) => formatOffset(oldOffset, units.value)],
      ['New offset', ({ newOffset }) => formatOffset(newOffset, units.value)],
      {
        head: 'Found',
        form: 'note',
        cell: ({ found }) =>
          found
            ? `${formatOffset(found.difference, units.value, 2 * found.standardUncertainty)} against ${found.sensors} sensors, ${formatStretch(found.from, found.to, zone)}${found.where ? `, ${found.where === 'side by side' || found.where === 'as mounted' ? found.where : `in a ${found.where}`}` : ''}`
            : 'takes the offset before it back',
      },
      ...signedColumns,
      {
        head: 'Now',
        cell: change =>
          change.inForce ? (
            <>
              in force{' '}
              <Button small aria-label={`Take back the offset of ${change.name}`} onClick={() => onTakeBack(change)}>
                Take back …
              </Button>
            </>
          ) : (
            'no longer'
          ),
      },
    ]}
  />
)
