import type { Kept } from '../../core/environment/index.js'
import { formatDateTime, formatHours, notKnown, type Zone } from '../../core/format.js'
import type { RecordsAnswer } from '../../server/http/schemas/records.js'
import { useAddress } from '../answer.js'
import { Card } from '../frame/card.js'
import { Problem } from '../frame/problem.js'
import { Table } from '../frame/table.js'
import { units } from '../preferences.js'
import { addressOf } from '../routes.js'
import { limitsInWords } from './limits.js'

/** What was outside, and of how much nothing can be told. */
const outside = ({ outside: out, notKnown: dark }: Kept) => (
  <>
    <strong>{formatHours(out / 1000)}</strong>
    {dark > 0 && <span class="quiet"> ({formatHours(dark / 1000)} not known)</span>}
  </>
)

/** How the limits were kept in the last day, week and month, of all that have some. */
export const OfLate = ({ zone }: { zone: Zone }) => {
  const { value, problem } = useAddress<RecordsAnswer>('/api/records', 300_000)
  return (
    <Card class="screen-only" id="of-late" text="Hours outside limits" about="records#limits-of-the-environment">
      <Problem text={problem} />
      {!value && !problem && <p class="empty">Reading what is stored …</p>}
      {value?.subjects.length === 0 && (
        <p>
          The shop file states no limits. Write those that a machine’s builder or the shop states; none is assumed here.
        </p>
      )}
      {value && value.subjects.length > 0 && (
        <Table
          caption="Hours outside limits in the last day, week and month"
          rows={value.subjects}
          keyOf={({ kind, id }) => `${kind}:${id}`}
          columns={[
            {
              head: 'Machine or area',
              names: true,
              cell: ({ kind, id, name }) => (
                <a href={`${addressOf('records')}?of=${encodeURIComponent(`${kind}:${id}`)}`}>{name}</a>
              ),
            },
            {
              head: 'Limits',
              plain: 'on a card',
              cell: ({ limits }) =>
                limitsInWords(limits, units.value)
                  .map(({ kind, words }) => `${kind} ${words}`)
                  .join(', '),
            },
            ['Last day', ({ day }) => outside(day)],
            ['Last week', ({ week }) => outside(week)],
            ['Last month', ({ month }) => outside(month)],
            {
              head: 'Last outside',
              form: 'nowrap',
              cell: ({ newest }) => (newest ? `until ${formatDateTime(newest.to, zone)}` : notKnown),
            },
          ]}
        />
      )}
      <p class="quiet">
        Limits are stated by the machine’s builder or the shop, in the shop file. None is invented here, and where none
        is stated nothing is judged.
      </p>
    </Card>
  )
}
