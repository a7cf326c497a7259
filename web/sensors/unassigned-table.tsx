import { formatMoment } from '../../core/format.js'
import type { Shop } from '../../core/shop.js'
import type { UnassignedAnswer } from '../../server/http/schemas/answers.js'
import { Table } from '../frame/table.js'

/** rows shown; the interface gives them all */
const shown = 50

/** What arrives and is no sensor's, newest first. */
export const UnassignedTable = ({ value, shop, at }: { value: UnassignedAnswer; shop: Shop; at: number }) => {
  if (value.topics.length === 0) return <p class="empty">Everything that arrived belongs to a sensor.</p>
  const more = value.topics.length - shown
  return (
    <>
      <Table
        caption="Topics without a sensor, newest first"
        rows={value.topics.slice(0, shown)}
        keyOf={({ topic, name }) => `${topic} ${name}`}
        columns={[
          { head: 'Topic', names: true, cell: ({ topic }) => <code>{topic}</code> },
          { head: 'Name on broker', cell: ({ name }) => <code>{name}</code> },
          ['Count', ({ count }) => count],
          { head: 'Newest', form: 'nowrap', cell: found => formatMoment(found.at, at, shop) },
          { head: 'It began', cell: ({ sample }) => <code>{sample}</code> },
        ]}
      />
      {more > 0 && <p class="quiet">and {more} more</p>}
      {value.beyond > 0 && <p class="quiet">{value.beyond} messages on further topics were counted, but not kept.</p>}
    </>
  )
}
