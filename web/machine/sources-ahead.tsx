import { formatDateTime, formatDifference, notKnown } from '../../core/format.js'
import type { Shop } from '../../core/shop.js'
import type { Interval, SourcesAhead } from '../../core/shop-model/index.js'
import { Card } from '../frame/card.js'
import { Problem } from '../frame/problem.js'
import { Table } from '../frame/table.js'
import { units } from '../preferences.js'
import { changesOf, sayChange } from './plan.js'

/** K; less is not told as a number. Judgement */
const noticeable = 0.05

type Source = SourcesAhead['sources'][number]

const stateOf = ({ kind, active }: Source): string => {
  if (active === null) return notKnown
  if (kind === 'heating') return active ? 'as by day' : 'set back'
  return kind === 'door' ? (active ? 'open' : 'shut') : active ? 'on' : 'off'
}

/** What each source would do to the air at the machine if it were changed now, and of which ones that cannot be told. */
export const SourcesCard = ({ value, problem, shop }: { value: SourcesAhead | null; problem: string; shop: Shop }) => {
  const system = units.value
  const able = value?.sources.filter(({ cannotBeTold }) => cannotBeTold === null) ?? []
  const unable = value?.sources.filter(({ cannotBeTold }) => cannotBeTold !== null) ?? []
  const effect = (of: Interval | undefined) =>
    of && Math.max(Math.abs(of.low), Math.abs(of.high)) < noticeable
      ? 'nothing noticeable'
      : of
        ? `${formatDifference(of.likely, system)} (${formatDifference(of.low, system)} to ${formatDifference(of.high, system)})`
        : notKnown
  const changed = (source: Source): string => {
    const [first, second] = changesOf(source.kind)
    const isOn = first === 'on' || first === 'open' ? first : second!
    const isOff = isOn === first ? second! : first!
    return sayChange({ at: 0, source: source.source, to: source.active ? isOff : isOn }, shop, system)
  }
  return (
    <Card id="sources-ahead" text="What doors, vents and heat do to the air here" about="pages#ahead">
      <Problem text={problem} />
      {!value && !problem && <p class="quiet">Computing…</p>}
      {value?.cannotBeTold && <p>{value.cannotBeTold} Until then a plan can say what the air goes to.</p>}
      {able.length > 0 && (
        <Table
          caption="What changing a source now would do to the air at the machine"
          rows={able}
          keyOf={({ source }) => source}
          columns={[
            { head: 'If changed now', names: true, cell: changed },
            { head: 'It is', cell: stateOf },
            { head: 'Air here after 1 h', cell: ({ effect: of }) => effect(of?.[0]) },
            { head: 'after 4 h', cell: ({ effect: of }) => effect(of?.[1]) },
          ]}
        />
      )}
      {unable.length > 0 && (
        <>
          <p>Of these it cannot be told, and no plan can be made with them:</p>
          <ul>
            {unable.map(({ source, name, cannotBeTold }) => (
              <li key={source}>
                {name || 'Heating of the shop'}: {cannotBeTold}
              </li>
            ))}
          </ul>
        </>
      )}
      {value?.restsOn && (
        <p class="quiet">
          Against leaving it as it is; in brackets 90 % intervals. Learned{' '}
          {formatDateTime(value.restsOn.learnedAt, shop)} from {Math.round(value.restsOn.days)} days of this shop.
        </p>
      )}
    </Card>
  )
}
