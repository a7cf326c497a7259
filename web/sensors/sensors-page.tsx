import {
  formatDuration,
  formatLength,
  formatLevel,
  formatMoment,
  formatSpeed,
  formatTemperature,
  notKnown,
} from '../../core/format.js'
import { saySensorFault } from '../../core/sentences/index.js'
import { isThermometer, type Sensor, type Shop } from '../../core/shop.js'
import type { Trust } from '../../core/state.js'
import { notBelievedSince } from '../../core/trust/index.js'
import type { CoursesAnswer, NamedSensor, RefusalsAnswer, UnassignedAnswer } from '../../server/http/schemas/answers.js'
import { query, setQuery } from '../address.js'
import { useAddress } from '../answer.js'
import { asCsvInUnits } from '../api.js'
import { Card } from '../frame/card.js'
import { shopPage } from '../frame/frame.js'
import { Scrolls } from '../frame/scrolls.js'
import { now, sensors } from '../live/state.js'
import { units } from '../preferences.js'
import { BatteryMark } from '../shapes/battery.js'
import { TrustMark } from '../shapes/trust.js'
import { Course } from './course.js'
import { type Column, columns, countsInWords, dueInWords, matching, type ShownSensor, sorted } from './order.js'
import { RefusalTables } from './refusal-tables.js'
import './sensors.css'
import { CsvLink } from '../frame/csv-link.js'
import { SelectField } from '../frame/fields.js'
import { Problem } from '../frame/problem.js'
import { UnassignedTable } from './unassigned-table.js'

const titles: Record<Column, string> = {
  name: 'Name',
  place: 'Place',
  value: 'Last value',
  age: 'Age',
  battery: 'Battery',
  signal: 'Signal',
  due: 'Calibration due',
  trust: 'Trust',
}
const numbers: ReadonlySet<Column> = new Set(['value', 'age', 'battery', 'signal'])
const trusts: readonly Trust[] = ['ok', 'late', 'suspect', 'lost']

/** what a contact tells, in words */
const stateInWords = (sensor: Sensor | undefined, shop: Shop, value: number): string => {
  const place = sensor?.at
  const kind = place?.kind === 'source' ? shop.sources.find(s => s.id === place.source)?.kind : undefined
  if (kind === 'door') return value ? 'open' : 'shut'
  return value ? 'running' : 'off'
}

const Head = ({ column, sort, turned }: { column: Column; sort: Column; turned: boolean }) => {
  const here = sort === column
  const number = numbers.has(column)
  return (
    <th scope="col" class={number ? 'number' : ''} aria-sort={here ? (turned ? 'descending' : 'ascending') : undefined}>
      <button
        type="button"
        class="sort"
        onClick={() => setQuery({ sort: column, turned: here && !turned ? '1' : null })}
      >
        {titles[column]}
        <span aria-hidden="true">{here ? (turned ? ' ▼' : ' ▲') : ''}</span>
      </button>
    </th>
  )
}

interface RowOf {
  shown: ShownSensor
  course: readonly (number | null)[] | undefined
  sensor: Sensor | undefined
  shop: Shop
  at: number | null
  /** columns that are there */
  has: (column: Column) => boolean
}
const Due = ({ due, follows, remedy }: ReturnType<typeof dueInWords>) => (
  <>
    {due}
    {follows && (
      <span class="trust-reason">
        {follows}
        <span class="trust-remedy"> → {remedy}</span>
      </span>
    )}
  </>
)

const valueInWords = (sensor: Sensor, shop: Shop, value: number): string => {
  if (sensor.unit === 'state') return stateInWords(sensor, shop, value)
  if (sensor.unit === '1/min') return formatSpeed(value)
  return isThermometer(sensor) ? formatTemperature(value, units.value, 2) : formatLength(value, units.value)
}

const Row = ({ shown, course, sensor, shop, at, has }: RowOf) => {
  const { value } = shown
  return (
    <tr>
      <th scope="row">{shown.name}</th>
      <td>{shown.place}</td>
      <td class="number">{value !== null && sensor ? valueInWords(sensor, shop, value) : notKnown}</td>
      <td class="number">
        {shown.at === null || at === null ? notKnown : formatDuration(Math.max(0, (at - shown.at) / 1000))}
      </td>
      <td>{course && <Course values={course} sensor={sensor} />}</td>
      {has('battery') && (
        <td class="number told" data-label="Battery">
          {shown.battery && <BatteryMark battery={shown.battery} />}
        </td>
      )}
      {has('signal') && (
        <td class="number told" data-label="Signal">
          {shown.signal && formatLevel(shown.signal)}
        </td>
      )}
      {has('due') && (
        <td class="due" data-label="Calibration due">
          {shown.due && at !== null && <Due {...dueInWords(shown.due, at, shop.timeZone)} />}
        </td>
      )}
      <td>
        <TrustMark trust={shown.trust} />
        {shown.reason && (
          <span class="trust-reason">
            {shown.reason}
            {at !== null && `, since ${formatMoment(notBelievedSince(shown), at, shop)}`}
            {shown.remedy && <span class="trust-remedy"> → {shown.remedy}</span>}
          </span>
        )}
      </td>
    </tr>
  )
}

const Content = ({ shop }: { shop: Shop }) => {
  const q = query.value
  const named = useAddress<{ sensors: NamedSensor[] }>('/api/sensors', 60_000, shop.name)
  const refusals = useAddress<RefusalsAnswer>('/api/refusals', 30_000, shop.name)
  const courses = useAddress<CoursesAnswer>('/api/sensors/courses', 300_000, shop.name)
  const unassigned = useAddress<UnassignedAnswer>('/api/unassigned-topics', 30_000, shop.name)
  // names and places are asked for, values come live
  const inFile = new Map(shop.sensors.map(s => [s.id, s]))
  const reader = { system: units.value, zone: shop, now: now.value ?? 0 }
  const all = (named.value?.sensors ?? []).map(s => {
    const state = { ...s, ...sensors.value.get(s.sensor) }
    const said = state.fault && saySensorFault(state.fault, reader)
    const due = inFile.get(s.sensor)?.calibration?.due ?? null
    return { ...state, reason: said?.text ?? '', remedy: said?.more ?? '', due }
  })
  const courseOf = new Map(courses.value?.courses.map(c => [c.sensor, c.values]))
  // what no sensor has needs no column
  const has = (column: Column) =>
    (column !== 'due' && column !== 'battery' && column !== 'signal') || all.some(s => s[column])
  const text = q.get('q') ?? ''
  const trust = trusts.find(t => t === q.get('trust')) ?? null
  const sort = columns.find(c => c === q.get('sort')) ?? 'trust'
  const turned = q.get('turned') === '1'
  const shown = sorted(matching(all, text, trust), sort, turned)
  const at = now.value

  return (
    <>
      <div>
        <h1 tabIndex={-1}>Sensors</h1>
        {all.length > 0 && (
          <p class="quiet">
            {all.length} sensors: {countsInWords(all, at, shop.timeZone)} ·{' '}
            <a href="/calibration">Common-temperature check</a>
          </p>
        )}
      </div>
      <section class="panel" aria-label="Sensors">
        <div class="panel-head">
          <div class="flow filters">
            <label class="field">
              <span>Find by name, place or reason</span>
              <input type="search" value={text} onInput={event => setQuery({ q: event.currentTarget.value })} />
            </label>
            <SelectField
              label="Trust"
              value={trust ?? ''}
              options={[{ value: '', text: 'any' }, ...trusts]}
              onChange={chosen => setQuery({ trust: chosen })}
            />
          </div>
          <CsvLink href={asCsvInUnits('/api/sensors')} name="sensors" text="Sensors as CSV" />
        </div>
        <p class={text || trust ? 'quiet' : 'hidden'} role="status">
          {shown.length} of {all.length} sensors shown
        </p>
        <Problem text={named.problem} />
        {all.length > 0 && shown.length === 0 && (
          <p class="empty">No sensor is like that. Take a word out of the search, or allow any trust.</p>
        )}
        {named.value && all.length === 0 && <p class="empty">The shop file lists no sensors.</p>}
        {shown.length > 0 && (
          <Scrolls label="Table of sensors">
            <table class="table sensors-table">
              <caption class="hidden">Sensors; the headings sort</caption>
              <thead>
                <tr>
                  {columns.filter(has).map(column => [
                    <Head key={column} column={column} sort={sort} turned={turned} />,
                    column === 'age' && (
                      <th key="course" scope="col">
                        Last 24 h
                      </th>
                    ),
                  ])}
                </tr>
              </thead>
              <tbody>
                {shown.map(s => (
                  <Row
                    key={s.sensor}
                    shown={s}
                    course={courseOf.get(s.sensor)}
                    sensor={inFile.get(s.sensor)}
                    shop={shop}
                    at={at}
                    has={has}
                  />
                ))}
              </tbody>
            </table>
          </Scrolls>
        )}
      </section>
      <Card id="refused" text="Messages refused" about="pages#what-was-refused">
        <p class="quiet">
          What came from the broker and could not be taken as a reading. It stops nothing; it points to a wrong topic, a
          wrong clock or a device that needs looking at.
        </p>
        <Problem text={refusals.problem} />
        {refusals.value && <RefusalTables value={refusals.value} shop={shop} at={at ?? 0} />}
      </Card>
      {shop.topics || shop.sensors.some(s => s.sparkplug) ? (
        <Card id="unassigned" text="Topics without a sensor" about="pages#topics-without-a-sensor">
          <p class="quiet">
            What the broker sends on the mapped topics and none of the shop's sensors is called. To take it in, add a
            sensor with that name on broker, or of that Sparkplug metric, to the shop file.
          </p>
          <Problem text={unassigned.problem} />
          {unassigned.value && <UnassignedTable value={unassigned.value} shop={shop} at={at ?? 0} />}
        </Card>
      ) : null}
    </>
  )
}

export const SensorsPage = shopPage('Sensors', Content)
