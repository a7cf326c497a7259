import { formatMoment } from '../../core/format.js'
import type { Shop } from '../../core/shop.js'
import type { UnassignedTopics } from '../api.js'
import { Scrolls } from '../frame/Scrolls.js'

/** rows shown; the interface gives them all */
const shown = 50

/** What arrives and is no sensor's, newest first. */
export const UnassignedTable = ({ value, shop, at }: { value: UnassignedTopics; shop: Shop; at: number }) => {
  if (value.topics.length === 0) return <p class="empty">Everything that arrived belongs to a sensor.</p>
  const more = value.topics.length - shown
  return (
    <>
      <Scrolls label="Topics without a sensor">
        <table class="table unassigned">
          <caption class="hidden">Topics without a sensor, newest first</caption>
          <thead>
            <tr>
              <th scope="col">Topic</th>
              <th scope="col">Name on broker</th>
              <th scope="col" class="number">
                Count
              </th>
              <th scope="col">Newest</th>
              <th scope="col">It began</th>
            </tr>
          </thead>
          <tbody>
            {value.topics.slice(0, shown).map(found => (
              <tr key={`${found.topic} ${found.name}`}>
                <td>
                  <code>{found.topic}</code>
                </td>
                <td>
                  <code>{found.name}</code>
                </td>
                <td class="number">{found.count}</td>
                <td class="nowrap">{formatMoment(found.at, at, shop.timeZone)}</td>
                <td>
                  <code>{found.sample}</code>
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      </Scrolls>
      {more > 0 && <p class="quiet">and {more} more</p>}
      {value.beyond > 0 && <p class="quiet">{value.beyond} messages on further topics were counted, but not kept.</p>}
    </>
  )
}
