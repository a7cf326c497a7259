import {
  differenceScale,
  formatClock,
  formatDateTime,
  formatDuration,
  formatTemperature,
  notKnown,
  type UnitSystem,
} from '../../core/format.js'
import type { HeatingAnswer, MachineHeating } from '../../core/heating/index.js'
import { nameOf } from '../../core/names.js'
import { sayHeating } from '../../core/sentences/index.js'
import type { Shop } from '../../core/shop.js'
import { query, setQuery } from '../address.js'
import { useAddress } from '../answer.js'
import { path } from '../api.js'
import { Card } from '../frame/card.js'
import { shopPage } from '../frame/frame.js'
import { Table } from '../frame/table.js'
import { units } from '../preferences.js'
import { addressOf } from '../routes.js'
import { reasonInWords, unbroken } from '../words.js'
import './heating.css'
import { SelectField } from '../frame/fields.js'
import { Problem } from '../frame/problem.js'

/** ms; between questions */
const often = 300_000

/** "04:12", with the day where that is not the goal's */
const clock = (at: number, goal: number, theShop: Shop): string =>
  formatDateTime(at, theShop).slice(0, 6) === formatDateTime(goal, theShop).slice(0, 6)
    ? formatClock(at, theShop)
    : formatDateTime(at, theShop)

/** to be safe; nothing where that is said already */
const safely = ({ start, state }: MachineHeating, goal: number, theShop: Shop): string =>
  state !== 'start' || !start ? '' : clock(start.earliest, goal, theShop)

/** What must be done for one machine. */
const Needed = ({
  of,
  answer: { goal, at },
  theShop,
}: {
  of: MachineHeating
  answer: HeatingAnswer
  theShop: Shop
}) => {
  switch (of.state) {
    case 'start':
      return (
        <>
          <strong>{of.start!.likely < goal ? clock(of.start!.likely, goal, theShop) : 'Not needed before'}</strong>{' '}
          <span class="quiet">
            ({clock(of.start!.earliest, goal, theShop)} to {clock(of.start!.latest, goal, theShop)})
          </span>
        </>
      )
    case 'any time':
      return <>Whenever it comes on</>
    case 'too late':
      return <strong>Too late: not fit by then even if it came on now</strong>
    case 'not by heating':
      return <>Not fit in air as it is usually heated either</>
    case 'not set back':
      return <>Its air is not set back, as far as it was seen</>
    case 'seen too seldom':
      return <>Set back {of.setbacks === 1 ? 'once' : `${of.setbacks} times`} so far: too seldom to learn from</>
    case 'unknown':
      return (
        <>
          {of.reason
            ? reasonInWords(of.reason, { system: units.value, zone: theShop, now: at }).text
            : 'A temperature is missing'}
        </>
      )
  }
}

const late = ({ state, usual, waiting }: MachineHeating): string =>
  usual === null || state === 'not by heating'
    ? notKnown
    : waiting === null
      ? 'not within 12 h'
      : waiting === 0
        ? 'fit by then'
        : formatDuration(waiting)

/** "26 K·h" */
const degreeHours = (value: number | null, system: UnitSystem): string =>
  value === null ? notKnown : `${differenceScale[system].of(value).toFixed(0)} ${differenceScale[system].unit}·h`

/** The whole in one sentence. */
const Summary = ({ value, theShop }: { value: HeatingAnswer; theShop: Shop }) => {
  const { text, more } = sayHeating(value, theShop, { system: units.value, zone: theShop, now: value.at })
  return (
    <p>
      <strong class="heating-summary">{unbroken(text)}.</strong> {unbroken(more)}
    </p>
  )
}

const HeatingStart = ({ theShop }: { theShop: Shop }) => {
  const asked = Object.fromEntries(
    ['class', 'by'].flatMap(key => (query.value.has(key) ? [[key, query.value.get(key)!]] : [])),
  )
  const { value, problem } = useAddress<HeatingAnswer>(path('/api/heating', asked), often)
  const system = units.value
  const iso = (at: number) => new Date(at).toISOString()
  const goal = value?.goal ?? Date.parse(asked.by ?? '')
  return (
    <Card id="heating-start" text="When must the heating come on?" about="heating#heating-start">
      {/* a choice stands where it is known, also while its answer is computed */}
      <div class="fields">
        {(value || asked.class) && (
          <SelectField
            label="Work class"
            value={value?.workClass ?? asked.class!}
            options={theShop.workClasses}
            onChange={id => setQuery({ class: id })}
          />
        )}
        {Number.isFinite(goal) && (
          <SelectField
            label="Fit by"
            value={iso(goal)}
            options={[
              ...(value?.shifts.includes(goal) ? [] : [{ value: iso(goal), text: formatDateTime(goal, theShop) }]),
              ...(value?.shifts ?? []).map(at => ({
                value: iso(at),
                text: `${formatDateTime(at, theShop)}, a shift begins`,
              })),
            ]}
            onChange={by => setQuery({ by })}
          />
        )}
      </div>
      <Problem text={problem} />
      {!value && !problem && (
        <p class="empty" role="status">
          Looking through the last four weeks …
        </p>
      )}
      {value && (
        <>
          <Summary value={value} theShop={theShop} />
          <Table
            caption="When each machine needs the heating"
            rows={value.machines}
            keyOf={({ machine }) => machine}
            columns={[
              {
                head: 'Machine',
                names: true,
                cell: ({ machine }) => (
                  <a class="nowrap" href={addressOf('ahead', machine)}>
                    {nameOf(theShop.machines, machine)}
                  </a>
                ),
              },
              { head: 'Heating on, likely', cell: of => <Needed of={of} answer={value} theShop={theShop} /> },
              { head: 'To be safe', form: 'nowrap', cell: of => safely(of, value.goal, theShop) },
              {
                head: 'Usually on',
                form: 'nowrap',
                cell: ({ usual }) => (usual === null ? notKnown : clock(usual, value.goal, theShop)),
              },
              { head: 'Then waits', form: 'nowrap', cell: late },
              {
                head: 'Air set back, heated',
                form: 'nowrap',
                cell: ({ air }) =>
                  air ? `${formatTemperature(air.setBack, system)}, ${formatTemperature(air.set, system)}` : notKnown,
              },
              ['Holding it instead', of => degreeHours(of.degreeHours, system)],
              ['Setbacks seen', ({ setbacks }) => setbacks],
            ]}
          />
        </>
      )}
      <p class="quiet">
        Learned from how the air at each machine fell and came back in the last four weeks. With the likely time the
        machine comes to be fit about when it is wanted, as often a little later as sooner; the brackets are where that
        time lies nine times in ten, their beginning is to be safe. Advice only: the building’s own controls, and the
        people who look after them, decide.
      </p>
    </Card>
  )
}

export const HeatingPage = shopPage('Heating start', ({ shop }) => (
  <>
    <h1 tabIndex={-1}>Heating start</h1>
    <HeatingStart theShop={shop} />
  </>
))
