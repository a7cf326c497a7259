import { formatDateTime, formatGrowth } from '../../core/format.js'
import { sayAssumption, saySettles } from '../../core/sentences/index.js'
import { setQuery } from '../address.js'
import { Card } from '../frame/card.js'
import { happenedIn } from '../frame/happened.js'
import { Table } from '../frame/table.js'
import { units } from '../preferences.js'
import { VerdictMark } from '../shapes/verdict.js'
import { unbroken } from '../words.js'
import { groupName } from './choose.js'
import type { Investigated } from './parts.js'

/** What would settle what is open, and what was assumed. */
export const OpenCard = ({ answer, group, shop, reader }: Investigated) => (
  <Card id="settle" text="What would settle what is open" about="was-it-heat#the-conclusion">
    {group.finding.settles.length === 0 ? (
      <p class="empty">Nothing that is known of: the conclusion stands on its figures.</p>
    ) : (
      <ol class="settles">
        {group.finding.settles.map(settles => {
          const { text, more } = saySettles(settles, reader)
          return (
            <li key={text}>
              <strong>{unbroken(text)}.</strong> {unbroken(more)}
            </li>
          )
        })}
      </ol>
    )}
    <h3>What was assumed</h3>
    <ul>
      {answer.assumptions.map(assumption => (
        <li key={JSON.stringify(assumption)}>{sayAssumption(assumption, shop)}</li>
      ))}
      <li>
        A longer axis makes the size {group.longer}; it is cut{' '}
        {group.cut === 'both sides'
          ? 'between two faces in one set-up, so that a drift of the zero does not count'
          : group.cut === 'diameter'
            ? 'as a diameter by a radius, so that a shift of the axis counts twice'
            : 'on one side, so that a drift of the zero counts once'}
        ; zero was taken {group.zeroed === 'datum' ? 'at the machine’s datum in force' : 'anew for each part'}.
      </li>
      <li>
        The prediction takes the temperatures as they were believed then, with the offsets, factors and time constants
        of then; no parameter of it was fitted to these parts.
      </li>
    </ul>
  </Card>
)

/** Every feature that was looked at: the more there are, the less a single one may be trusted. */
export const Groups = ({ answer, group, shop }: Investigated) =>
  answer.groups.length < 2 ? null : (
    <Card id="groups" text="Every feature of this time" about="was-it-heat#the-conclusion">
      <p class="quiet">
        All of them together: {conclusionWords[answer.all.conclusion]}. The more features are looked at, the more easily
        one goes with the temperature by chance; what is allowed to chance is made smaller for it.
      </p>
      <Table
        caption="Every feature of this time"
        rows={answer.groups}
        keyOf={({ part, feature, machine }) => `${part} ${feature} ${machine}`}
        classOf={each => (each === group ? 'is-marked' : '')}
        columns={[
          {
            head: 'Feature',
            names: true,
            cell: each => (
              <button
                type="button"
                class="link-button"
                onClick={() => {
                  setQuery({ part: each.part, feature: each.feature, machine: each.machine }, 'push')
                  window.scrollTo(0, 0)
                }}
              >
                {groupName(each, shop)}
              </button>
            ),
          },
          ['Parts', ({ inspections }) => inspections],
          ['Rejects', ({ rejects }) => rejects],
          { head: 'Heat', cell: ({ finding }) => conclusionWords[finding.conclusion] },
        ]}
      />
    </Card>
  )

const conclusionWords = {
  most: 'heat explains most of it',
  part: 'heat explains part of it',
  'not heat': 'not heat',
  'cannot be told': 'cannot be told',
} as const

/** so many rejects are listed */
const most = 60

/** The rejects one by one, each with the way to what happened then. */
export const Rejects = ({ group, parts, shop }: Investigated) => {
  const system = units.value
  const rejects = parts.filter(({ reject }) => reject !== null)
  if (rejects.length === 0) return null
  return (
    <Card id="rejects" text="The rejects" about="was-it-heat#the-pictures">
      <Table
        caption="The rejects, in order of time"
        rows={rejects.slice(0, most)}
        keyOf={({ inspection }) => inspection}
        columns={[
          { head: 'Part', names: true, cell: ({ serial, inspection }) => serial || inspection },
          {
            head: 'Cut',
            form: 'nowrap',
            cell: ({ from, to, serial }) => (
              <a
                href={happenedIn(group.machine, from, to)}
                aria-label={`What happened when ${serial || 'it'} was cut, ${formatDateTime(from, shop)}`}
              >
                {formatDateTime(from, shop)}
              </a>
            ),
          },
          ['Deviation', ({ deviation }) => unbroken(formatGrowth(deviation, system))],
          { head: 'It is', cell: ({ reject }) => reject },
          [
            'Heat predicts',
            ({ predicted }) =>
              predicted
                ? unbroken(
                    `${formatGrowth(predicted.error, system)} ± ${formatGrowth(2 * predicted.uncertainty, system, 'plain')}`,
                  )
                : 'not known',
          ],
          {
            head: 'The wall said',
            cell: ({ verdict }) => (verdict ? <VerdictMark verdict={verdict} /> : 'nothing'),
          },
          {
            head: 'Tool',
            cell: ({ tool, toolCount }) =>
              [tool, toolCount === null ? '' : `after ${toolCount}`].filter(Boolean).join(', '),
          },
        ]}
      />
      {rejects.length > most && <p class="quiet">The first {most}; all as CSV above.</p>}
    </Card>
  )
}
