import { formatStretch } from '../../core/format.js'
import type { InvestigatedGroup, InvestigationAnswer } from '../../core/investigation/index.js'
import type { Shop } from '../../core/shop.js'
import { setQuery } from '../address.js'
import { FromTo } from '../frame/from-to.js'
import { counted } from '../recordings/recording.js'

/** What the address calls a group. */
export const groupKey = ({ part, feature, machine }: Pick<InvestigatedGroup, 'part' | 'feature' | 'machine'>): string =>
  [part, feature, machine].join('\n')

/** "Bearing housing, bore distance, Mill 2" */
export const groupName = (
  { part, feature, machine }: InvestigatedGroup,
  { machines }: Pick<Shop, 'machines'>,
): string => [part, feature, machines.find(({ id }) => id === machine)?.name ?? machine].filter(Boolean).join(', ')

interface Props {
  answer: InvestigationAnswer
  group: InvestigatedGroup
  shop: Shop
}

/** Which parts are looked at: feature, stretch of time, work class. */
export const Choose = ({ answer, group, shop }: Props) => {
  const range = { from: answer.from ?? answer.at - 7 * 86_400_000, to: answer.to ?? answer.at }
  return (
    <div class="investigate-choose screen-only">
      <label class="field">
        <span>Part, feature and machine</span>
        <select
          value={groupKey(group)}
          onChange={event => {
            const [part, feature, machine] = event.currentTarget.value.split('\n') as [string, string, string]
            setQuery({ part, feature, machine }, 'push')
          }}
        >
          {answer.groups.map(each => (
            <option key={groupKey(each)} value={groupKey(each)} selected={each === group}>
              {groupName(each, shop)}: {counted(each.inspections, 'part')}, {counted(each.rejects, 'reject')}
            </option>
          ))}
        </select>
      </label>
      <label class="field">
        <span>Verdicts of the work class</span>
        <select
          value={group.verdicts?.workClass ?? ''}
          onChange={event => setQuery({ class: event.currentTarget.value })}
        >
          {shop.workClasses.map(({ id, name }) => (
            <option key={id} value={id} selected={id === group.verdicts?.workClass}>
              {name}
            </option>
          ))}
        </select>
      </label>
      <FromTo
        key={`${range.from} ${range.to}`}
        range={range}
        zone={shop}
        onShow={(from, to) => setQuery({ from, to }, 'push')}
      />
    </div>
  )
}

/** What is looked at, in one line: on paper the choice itself is not shown. */
export const Chosen = ({ answer, group, shop }: Props) => (
  <p class="investigate-chosen">
    <strong>{groupName(group, shop)}</strong>
    {group.axis && ` along ${group.axis}`}
    {group.axisFound && ' (not said: this axis goes best with the parts)'}: {counted(group.inspections, 'part')},{' '}
    <strong>{counted(group.rejects, 'reject')}</strong>
    {answer.from !== null && answer.to !== null && <>, {formatStretch(answer.from, answer.to, shop)}</>}
    {answer.groupsLeftOut > 0 && ` ${answer.groupsLeftOut} further features are left out: choose a shorter time.`}
  </p>
)
