import { formatStretch } from '../../core/format.js'
import type { InvestigatedGroup } from '../../core/investigation/index.js'
import { nameOf } from '../../core/names.js'
import type { Shop } from '../../core/shop.js'
import { setQuery } from '../address.js'
import { SelectField } from '../frame/fields.js'
import { FromTo } from '../frame/from-to.js'
import { counted } from '../words.js'
import type { Investigated } from './parts.js'

/** What the address calls a group. */
export const groupKey = ({ part, feature, machine }: Pick<InvestigatedGroup, 'part' | 'feature' | 'machine'>): string =>
  [part, feature, machine].join('\n')

/** "Bearing housing, bore distance, Mill 2" */
export const groupName = (
  { part, feature, machine }: InvestigatedGroup,
  { machines }: Pick<Shop, 'machines'>,
): string => [part, feature, nameOf(machines, machine)].filter(Boolean).join(', ')

/** Which parts are looked at: feature, stretch of time, work class. */
export const Choose = ({ answer, group, shop }: Investigated) => {
  const range = { from: answer.from ?? answer.at - 7 * 86_400_000, to: answer.to ?? answer.at }
  return (
    <div class="fields is-near investigate-choose screen-only">
      <SelectField
        label="Part, feature and machine"
        value={groupKey(group)}
        options={answer.groups.map(each => ({
          value: groupKey(each),
          text: `${groupName(each, shop)}: ${counted(each.inspections, 'part')}, ${counted(each.rejects, 'reject')}`,
        }))}
        onChange={key => {
          const [part, feature, machine] = key.split('\n') as [string, string, string]
          setQuery({ part, feature, machine }, 'push')
        }}
      />
      <SelectField
        label="Verdicts of the work class"
        value={group.verdicts?.workClass ?? ''}
        options={shop.workClasses}
        onChange={id => setQuery({ class: id })}
      />
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
export const Chosen = ({ answer, group, shop }: Investigated) => (
  <p class="investigate-chosen">
    <strong>{groupName(group, shop)}</strong>
    {group.axis && ` along ${group.axis}`}
    {group.axisFound && ' (not said: this axis goes best with the parts)'}: {counted(group.inspections, 'part')},{' '}
    <strong>{counted(group.rejects, 'reject')}</strong>
    {answer.from !== null && answer.to !== null && <>, {formatStretch(answer.from, answer.to, shop)}</>}
    {answer.groupsLeftOut > 0 && ` ${answer.groupsLeftOut} further features are left out: choose a shorter time.`}
  </p>
)
