import { useEffect, useState } from 'preact/hooks'
import { recordSubjects } from '../../core/environment/subjects.js'
import type { Shop } from '../../core/shop.js'
import { query, setQuery } from '../address.js'
import { shopPage } from '../frame/frame.js'
import { FromTo } from '../frame/from-to.js'
import { Choice } from '../frame/switches.js'
import { now } from '../live/state.js'
import { OfLate } from './of-late.js'
import { monthsUntil, type RecordPeriod, readRecordPeriod, recordPeriodAt } from './period.js'
import { EnvironmentRecord } from './record.js'
import './records.css'
import { Button } from '../frame/button.js'
import { SelectField } from '../frame/fields.js'

const kinds: readonly { value: RecordPeriod['kind']; text: string }[] = [
  { value: 'month', text: 'Month' },
  { value: 'week', text: 'Last 7 days' },
  { value: 'day', text: 'Last 24 h' },
  { value: 'fixed', text: 'From – to' },
]

const PeriodChoice = ({ period, theShop }: { period: RecordPeriod; theShop: Shop }) => {
  const [asked, setAsked] = useState(period.kind)
  useEffect(() => setAsked(period.kind), [period.kind])
  const moment = now.peek() ?? Date.now()
  const months = monthsUntil(moment, theShop)
  const choose = (kind: RecordPeriod['kind']) => {
    setAsked(kind)
    const named = kind === 'day' || kind === 'week' ? kind : null
    if (kind !== 'fixed') setQuery({ period: named, month: null, from: null, to: null })
  }
  return (
    <div class="period-bar">
      <Choice legend="Period" value={asked} options={kinds} onChange={choose} />
      {asked === 'month' && (
        <SelectField
          label="Month"
          value={(period.kind === 'month' && period.month) || months[0]!.id}
          options={months.map(({ id, text }) => ({ value: id, text }))}
          onChange={month => setQuery({ month, period: null, from: null, to: null })}
        />
      )}
      {asked === 'fixed' && (
        <FromTo
          range={recordPeriodAt(period, moment, theShop)}
          zone={theShop}
          onShow={(from, to) => setQuery({ period: null, month: null, from, to })}
        />
      )}
    </div>
  )
}

const everything = 'all'

const Content = ({ shop: theShop }: { shop: Shop }) => {
  const subjects = recordSubjects(theShop)
  const key = ({ kind, id }: (typeof subjects)[number]) => `${kind}:${id}`
  const asked = query.value.get('of')
  const chosen =
    asked === everything
      ? subjects
      : subjects
          .filter(each => key(each) === asked)
          .concat(subjects)
          .slice(0, 1)
  const period = readRecordPeriod(query.value)
  return (
    <>
      <h1 tabIndex={-1}>Records</h1>
      <OfLate zone={theShop} />
      <section class="panel screen-only" aria-label="Which record">
        <div class="fields record-choice">
          <SelectField
            label="Machine or area"
            value={asked === everything || !chosen[0] ? everything : key(chosen[0])}
            options={[
              ...subjects.map(each => ({ value: key(each), text: each.name })),
              { value: everything, text: 'All, one after the other' },
            ]}
            onChange={of => setQuery({ of })}
          />
          <PeriodChoice period={period} theShop={theShop} />
          <Button onClick={() => window.print()}>Print</Button>
        </div>
      </section>
      {chosen.map(each => (
        <EnvironmentRecord key={key(each)} shop={theShop} subject={each} period={period} />
      ))}
    </>
  )
}

export const RecordsPage = shopPage('Records', Content)
