import { formatStretch, type Zone } from '../../core/format.js'
import type { StoreAnswer } from '../../server/http/schemas/answers.js'
import { useAddress } from '../answer.js'
import { Table } from '../frame/table.js'

type Damaged = StoreAnswer['damaged'][number]

const what: Record<Damaged['kind'], string> = {
  readings: 'Readings',
  minutes: 'Summaries by the minute',
  'quarter hours': 'Summaries by the quarter hour',
  hours: 'Summaries by the hour',
  journal: 'Readings that had just arrived',
  newest: 'Note of the newest reading',
}

const Damage = ({ damaged, moreDamaged, zone }: StoreAnswer & { zone: Zone }) => (
  <>
    <p>
      Some of what was stored could not be read and was set aside; everything else works. Have the disk checked. A
      backup from before may still hold it.
    </p>
    <Table
      caption="Damaged in the database"
      rows={damaged}
      keyOf={each => `${each.kind} ${each.sensor} ${each.from}`}
      columns={[
        { head: 'Sensor', names: true, cell: ({ sensor }) => sensor ?? 'cannot be told' },
        { head: 'What', cell: ({ kind }) => what[kind] },
        { head: 'When', cell: ({ from, to }) => formatStretch(from, to, zone) },
        { head: 'Now', cell: ({ remade }) => (remade ? 'made anew, nothing lost' : 'left out') },
      ]}
    />
    {moreDamaged > 0 && <p class="quiet">and {moreDamaged} more</p>}
  </>
)

const Unclaimed = ({ unclaimed }: StoreAnswer) => {
  const rows = [
    ...unclaimed.sensors.map(id => ({ id, kind: 'sensor' })),
    ...unclaimed.machines.map(id => ({ id, kind: 'machine' })),
    ...unclaimed.workClasses.map(id => ({ id, kind: 'work class' })),
  ]
  if (rows.length === 0) return null
  return (
    <>
      <p>
        There is history of these, but the shop file does not know them. Where one was renamed, write{' '}
        <code>formerly: [its former id]</code> at its entry in the shop file, and its history is found again.
      </p>
      <ul class="about-list">
        {rows.map(({ id, kind }) => (
          <li key={`${kind} ${id}`}>
            <strong>{id}</strong> <span class="quiet">{kind}</span>
          </li>
        ))}
      </ul>
    </>
  )
}

/** What a person should know of the database; a sentence when there is nothing. */
export const Stored = ({ zone }: { zone: Zone }) => {
  const { value, problem } = useAddress<StoreAnswer>('/api/store', 60_000)
  if (!value) return <p class="quiet">{problem || 'Asking the service …'}</p>
  const { damaged, unclaimed } = value
  const known = unclaimed.sensors.length + unclaimed.machines.length + unclaimed.workClasses.length === 0
  return (
    <>
      {damaged.length > 0 && <Damage {...value} zone={zone} />}
      <Unclaimed {...value} />
      {damaged.length === 0 && known && (
        <p class="quiet">Nothing is damaged, and all that is stored belongs to something in the shop file.</p>
      )}
    </>
  )
}
