import { Table } from '../frame/table.js'
import { dashes, lineColour } from './line-styles.js'

interface LegendEntry {
  id: string
  name: string
  style: number
  /** what the line says in numbers, for those who do not see it */
  last: string
  lowest: string
  highest: string
}

interface Props {
  entries: readonly LegendEntry[]
  hidden: ReadonlySet<string>
  onToggle: (id: string) => void
  caption: string
}

/** The lines of a chart by name, with what they range over; each can be taken out of the picture. */
export const Legend = ({ entries, hidden, onToggle, caption }: Props) => (
  <Table
    look="chart-legend"
    caption={caption}
    rows={entries}
    keyOf={({ id }) => id}
    classOf={({ id }) => (hidden.has(id) ? 'is-hidden' : '')}
    columns={[
      {
        head: 'Line',
        names: true,
        cell: ({ id, name, style }) => (
          <button
            type="button"
            class="line-switch"
            style={lineColour(style)}
            aria-pressed={!hidden.has(id)}
            onClick={() => onToggle(id)}
          >
            <svg viewBox="0 0 40 8" aria-hidden="true">
              <line x1="0" x2="40" y1="4" y2="4" stroke-dasharray={dashes[style % dashes.length]!.join(' ')} />
            </svg>
            {name}
          </button>
        ),
      },
      ['Last', ({ last }) => last],
      ['Lowest', ({ lowest }) => lowest],
      ['Highest', ({ highest }) => highest],
    ]}
  />
)
