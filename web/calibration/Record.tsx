import { formatDateTime, formatOffset, notKnown, type UnitSystem } from '../../core/format.js'
import { Scrolls } from '../frame/Scrolls.js'
import type { RecordedChange } from './answers.js'

interface Props {
  changes: readonly RecordedChange[]
  system: UnitSystem
  zone: string
  onTakeBack: (change: RecordedChange) => void
}

/** every offset that was changed, newest first */
export const Record = ({ changes, system, zone, onTakeBack }: Props) => (
  <Scrolls label="Offsets accepted and taken back">
    <table class="table record-table">
      <caption class="hidden">Offsets accepted and taken back, newest first</caption>
      <thead>
        <tr>
          <th scope="col">When</th>
          <th scope="col">Sensor</th>
          <th scope="col" class="number">
            Old offset
          </th>
          <th scope="col" class="number">
            New offset
          </th>
          <th scope="col">Found</th>
          <th scope="col">Who</th>
          <th scope="col">Note</th>
          <th scope="col">Now</th>
        </tr>
      </thead>
      <tbody>
        {changes.map(change => (
          <tr key={change.id}>
            <td class="nowrap">{formatDateTime(change.at, zone)}</td>
            <th scope="row">{change.name}</th>
            <td class="number">{formatOffset(change.oldOffset, system)}</td>
            <td class="number">{formatOffset(change.newOffset, system)}</td>
            <td class="note">
              {change.found
                ? `${formatOffset(change.found.difference, system, 2 * change.found.standardUncertainty)} against ${change.found.sensors} sensors, ${formatDateTime(change.found.from, zone)} to ${formatDateTime(change.found.to, zone)}`
                : 'takes the offset before it back'}
            </td>
            <td>{change.by}</td>
            <td class="note">{change.note || notKnown}</td>
            <td>
              {change.inForce ? (
                <>
                  in force{' '}
                  <button
                    type="button"
                    class="button is-small"
                    aria-label={`Take back the offset of ${change.name}`}
                    onClick={() => onTakeBack(change)}
                  >
                    Take back …
                  </button>
                </>
              ) : (
                'no longer'
              )}
            </td>
          </tr>
        ))}
      </tbody>
    </table>
  </Scrolls>
)
