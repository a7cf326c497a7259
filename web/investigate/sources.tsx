import { formatDifference, formatGrowth, formatShare } from '../../core/format.js'
import type { Cause, SourcesAnswer } from '../../core/shop-model/index.js'
import { CardTitle } from '../frame/card.js'
import { CsvDownload } from '../frame/csv-download.js'
import { Problem } from '../frame/problem.js'
import { Table } from '../frame/table.js'
import { units } from '../preferences.js'
import { unbroken } from '../words.js'

const names: Partial<Record<Cause['kind'], string>> = {
  outdoors: 'outdoors and sun',
  'own work': 'its own work',
  week: 'what comes back each week (heating setback, shifts)',
  unexplained: 'not explained',
}

/** What a cause is called within a sentence. */
export const causeName = ({ kind, name }: Pick<Cause, 'kind' | 'name'>): string =>
  names[kind] ?? (kind === 'door' || kind === 'vent' ? `the ${name}` : name)

/** The causes of which one did most; none where nothing stands out. */
export const mainCauses = (sources: SourcesAnswer | null): Cause[] =>
  sources?.main.flatMap(id => sources.causes.find(cause => cause.id === id) ?? []) ?? []

const share = (value: number) => formatShare(Math.round(value * 100) / 100).replace('-', '−')
const percent = (part: number) => `${(100 * Math.min(1, Math.max(0, part))).toFixed(2)}%`

/** A share and its interval on one scale for all causes. */
const Bar = ({ cause, most, least }: { cause: Cause; most: number; least: number }) => {
  const { low, likely, high } = cause.growth.share
  const at = (value: number) => (value - least) / (most - least)
  const zero = at(0)
  return (
    <svg aria-hidden="true">
      <line class="interval-axis" x1={percent(zero)} x2={percent(zero)} y1="0" y2="100%" />
      <rect
        class={cause.kind === 'unexplained' ? 'cause-share is-rest' : 'cause-share'}
        x={percent(Math.min(zero, at(likely)))}
        width={percent(Math.abs(at(likely) - zero))}
        y="18%"
        height="64%"
      />
      <line class="cause-interval" x1={percent(at(low))} x2={percent(at(high))} y1="50%" y2="50%" />
      {[low, high].map(end => (
        <line key={end} class="cause-interval" x1={percent(at(end))} x2={percent(at(end))} y1="32%" y2="68%" />
      ))}
    </svg>
  )
}

/** "a, b or c" */
export const joined = (all: readonly string[], word: 'and' | 'or'): string =>
  all.length < 2 ? all.join('') : `${all.slice(0, -1).join(', ')} ${word} ${all.at(-1)}`

const same = (some: readonly string[], others: readonly string[]) =>
  some.length === others.length && some.every(id => others.includes(id))

interface Props {
  sources: SourcesAnswer | null
  problem: string
  /** what the shop calls a source */
  nameOf: (source: string) => string
}

/** Where the movement of the axis came from: ranked, each with its interval. */
export const SourcesCard = ({ sources, problem, nameOf }: Props) => {
  const system = units.value
  const causes = sources?.causes.filter(({ knownBy, kind }) => knownBy !== 'not at all' || kind === 'unexplained') ?? []
  const most = Math.max(1, ...causes.map(({ growth }) => growth.share.high))
  const least = Math.min(0, ...causes.map(({ growth }) => growth.share.low))
  const name = (id: string) => {
    const cause = sources?.causes.find(each => each.id === id)
    return cause ? causeName(cause) : id
  }
  const unseen = sources?.causes.filter(({ knownBy, kind }) => knownBy === 'not at all' && kind !== 'unexplained') ?? []
  return (
    <section class="panel" aria-labelledby="from-where">
      <CardTitle id="from-where" text="From where the heat came" about="was-it-heat#from-where">
        {causes.length > 0 && (
          <CsvDownload
            name="sources"
            about="Sources as CSV"
            columns={[
              'cause',
              'shareOfGrowth',
              'low',
              'high',
              'addedMetres',
              'addedLow',
              'addedHigh',
              'partOfTimeActive',
            ]}
            rows={() =>
              causes.map(({ id, growth, active }) => [
                ...[id, growth.share.likely, growth.share.low, growth.share.high],
                ...[growth.added.likely, growth.added.low, growth.added.high, active],
              ])
            }
          />
        )}
      </CardTitle>
      <Problem text={problem} />
      {!sources && !problem && (
        <p class="empty" role="status" aria-busy="true">
          Asking the model of the shop …
        </p>
      )}
      {sources?.isBeingLearned && (
        <p class="empty" role="status">
          How the shop responds is being learned, which takes a minute or two. The shares appear here by themselves
          then.
        </p>
      )}
      {sources?.cannotBeTold && !sources.isBeingLearned && (
        <p class="empty">It cannot be told: {sources.cannotBeTold}</p>
      )}
      {sources && causes.length > 0 && (
        <>
          <p class="quiet">
            How much of the movement of {sources.axis} over this time would have been missing had the source alone done
            nothing, heating and cooling answering; below zero: it would have moved more. The line is the 90 % interval.
            {sources.movement &&
              ` It moved by ${unbroken(formatGrowth(sources.movement.growthRange, system, 'plain'))} between its lowest and highest, its air by a standard deviation of ${unbroken(formatDifference(sources.movement.air, system, 'plain'))}.`}
          </p>
          <Table
            look="causes"
            caption="Share of the movement by source, the largest first"
            rows={causes}
            keyOf={({ id }) => id}
            columns={[
              {
                head: 'Source',
                names: true,
                cell: cause => (
                  <>
                    {causeName(cause).replace(/^the /, '')}
                    {cause.active !== null && <small>open or on {share(cause.active)} of the time</small>}
                  </>
                ),
              },
              { head: 'Picture', plain: 'always', cell: cause => <Bar cause={cause} most={most} least={least} /> },
              ['Share', ({ growth }) => <strong>{share(growth.share.likely)}</strong>],
              {
                head: '90 %',
                form: 'nowrap',
                cell: ({ growth: { share: of } }) => (
                  <span class="quiet">
                    {unbroken(share(of.low))} to {unbroken(share(of.high))}
                  </span>
                ),
              },
              [
                'Added',
                ({ isRough, growth: { added } }) =>
                  `${isRough ? 'up to ' : ''}${unbroken(formatGrowth(isRough ? added.high : added.likely, system, 'plain'))}`,
              ],
            ]}
          />
          {sources.inseparable.map(({ causes: together, growth }) => (
            <p key={together.join()}>
              <strong>{together.map(name).join(' and ')} cannot be told apart</strong>: they moved together. Together
              they made {share(growth.share.likely)} ({share(growth.share.low)} to {share(growth.share.high)}).
            </p>
          ))}
          {sources.main.length > 1 && !sources.inseparable.some(({ causes: those }) => same(those, sources.main)) && (
            <p>
              <strong>{joined(sources.main.map(name), 'or')}, it cannot be told which</strong> did most: their intervals
              are wider than what is between them.
            </p>
          )}
          {sources.main.length === 0 && <p>None of them stands out from the others.</p>}
          {causes.some(({ isRough }) => isRough) && (
            <p class="quiet">
              Do not rely on the figures with “up to”: a vent that blows for hours each day hardly differs from what is
              always there, and what a thermostat takes back of a heat source the air does not show.
            </p>
          )}
          {sources.answering.length > 0 && (
            <p class="quiet">
              No share is told of {joined(sources.answering.map(nameOf), 'and')}: the air itself switches or leads it,
              so it answers what else happens, as the shop’s own heating or cooling.
            </p>
          )}
          {sources.shareSum !== null && Math.abs(sources.shareSum - 1) > 0.15 && (
            <p class="quiet">
              The shares sum to {share(sources.shareSum)}, not to 100 %: a thermostat answers a door, and sources cancel
              each other.
            </p>
          )}
          {unseen.length > 0 && (
            <p class="quiet">
              Of {joined(unseen.map(causeName), 'and')} nothing could be learned: no sensor tells when they run, or they
              did not run. What they did, if anything, is in the other shares.
            </p>
          )}
          {sources.restsOn && (
            <p class="quiet">
              By the learned model of the shop, from {Math.round(sources.restsOn.days)} days, in which it explains{' '}
              {share(sources.restsOn.airExplained)} of the variance of the machine’s air. Take shares and their order as
              hints: held against simulated shops, the source named first was the true one for 55 of 63 machines, and
              how much a shut door would have changed was right to a quarter in 3 of 7 cases. A thermostat makes up for
              much of what a door does: a small share then says that the machine felt little of it.
            </p>
          )}
        </>
      )}
    </section>
  )
}
