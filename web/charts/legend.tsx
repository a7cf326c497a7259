import { Scrolls } from '../frame/scrolls.js'
import { dashes, lineColours } from './line-styles.js'

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
  <Scrolls label={caption}>
    <table class="table chart-legend">
      <caption class="hidden">{caption}</caption>
      <thead>
        <tr>
          <th scope="col">Line</th>
          <th scope="col" class="number">
            Last
          </th>
          <th scope="col" class="number">
            Lowest
          </th>
          <th scope="col" class="number">
            Highest
          </th>
        </tr>
      </thead>
      <tbody>
        {entries.map(({ id, name, style, last, lowest, highest }) => (
          <tr key={id} class={hidden.has(id) ? 'is-hidden' : ''}>
            <th scope="row">
              <button
                type="button"
                class={`line-switch line-${style % lineColours}`}
                aria-pressed={!hidden.has(id)}
                onClick={() => onToggle(id)}
              >
                <svg viewBox="0 0 40 8" aria-hidden="true">
                  <line x1="0" x2="40" y1="4" y2="4" stroke-dasharray={dashes[style % dashes.length]!.join(' ')} />
                </svg>
                {name}
              </button>
            </th>
            <td class="number">{last}</td>
            <td class="number">{lowest}</td>
            <td class="number">{highest}</td>
          </tr>
        ))}
      </tbody>
    </table>
  </Scrolls>
)
