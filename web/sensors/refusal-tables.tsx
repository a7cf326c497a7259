import { formatMoment } from '../../core/format.js'
import type { Shop } from '../../core/shop.js'
import type { RefusalsAnswer } from '../../server/http/schemas/answers.js'
import { Table } from '../frame/table.js'

/** samples shown; the interface gives them all */
const shown = 50

/** What arrived and could not be taken: how often, why, and what the newest of it looked like. */
export const RefusalTables = ({ value, shop, at }: { value: RefusalsAnswer; shop: Shop; at: number }) => {
  if (value.counts.length === 0) return <p class="empty">Every message that arrived could be taken as a reading.</p>
  return (
    <div class="refusals">
      <Table
        caption="Messages refused, by reason"
        rows={value.counts}
        keyOf={({ reason }) => reason}
        columns={[{ head: 'Reason', names: true, cell: ({ reason }) => reason }, ['Count', ({ count }) => count]]}
      />
      <Table
        caption="Samples of refused messages, newest first"
        rows={[...value.samples].sort((a, b) => b.at - a.at).slice(0, shown)}
        keyOf={(sample, i) => `${sample.at} ${i}`}
        columns={[
          {
            head: 'Time',
            form: 'nowrap',
            plain: 'on a card',
            cell: sample => formatMoment(sample.at, at, shop),
          },
          { head: 'Topic', names: true, cell: ({ topic }) => <code>{topic}</code> },
          { head: 'Reason', form: 'note', plain: 'on a card', cell: ({ reason }) => reason },
          { head: 'Message began', cell: ({ sample }) => <code>{sample}</code> },
        ]}
      />
    </div>
  )
}
