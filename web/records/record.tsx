import { useMemo, useState } from 'preact/hooks'
import { formatDateTime, formatDuration, formatHours, formatStretch, type Zone, zoneName } from '../../core/format.js'
import type { Shop } from '../../core/shop.js'
import { useAnswer } from '../answer.js'
import { Button } from '../frame/button.js'
import { Card } from '../frame/card.js'
import { Figures } from '../frame/figures.js'
import { Problem } from '../frame/problem.js'
import { now } from '../live/state.js'
import { csvTables, fetchRecord, recordCsvPath, type Subject } from './answers.js'
import { Course } from './course.js'
import { ExcursionsTable, fewExcursions, LimitsTable } from './limits.js'
import { type RecordPeriod, recordPeriodAt } from './period.js'
import { CalibrationTable, GapsTable, NotBelievedTable, StatisticsTable } from './sensors.js'

interface Props {
  shop: Shop
  subject: Subject
  period: RecordPeriod
}

/** What a record rests on, in words. */
const RestsOn = ({ interval, readings, sensors }: { interval: number; readings: number; sensors: number }) => (
  <p class="quiet">
    It rests on {readings.toLocaleString('en')} readings of {sensors} {sensors === 1 ? 'sensor' : 'sensors'}, as they
    were believed then, with the offsets of then. Mean, standard deviation and limits are of means of{' '}
    {formatDuration(interval / 1000)}, minimum and maximum of single readings; what changes quicker than that is not in
    the standard deviation. Rate: against the mean one hour before. Swing: highest minus lowest of the 24 hours before.
    Gradient: between two sensors, by the distance of their positions. A limit counts as not kept while one sensor is
    outside.
  </p>
)

/** The record of one machine or area: on paper it begins on a page of its own. */
export const EnvironmentRecord = ({ shop, subject, period }: Props) => {
  const [whole, setWhole] = useState(false)
  const zone: Zone = shop
  const { value, problem } = useAnswer(
    signal => fetchRecord(subject, recordPeriodAt(period, now.peek() ?? Date.now(), zone), signal),
    JSON.stringify([subject.kind, subject.id, period, now.value !== null]),
    period.kind === 'fixed' ? null : 300_000,
  )
  const id = `record-${subject.kind}-${subject.id}`
  // as often as it is asked for, not each second
  const drawnUp = useMemo(() => now.peek(), [value])
  const excursions = value?.kept?.excursions.length ?? 0
  const of = (value?.to ?? 0) - (value?.from ?? 0)
  return (
    <Card class="record" id={id} text={subject.name} about="records#a-record">
      <Problem text={problem} />
      {!value && !problem && <p class="empty">Reading what is stored …</p>}
      {value && (
        <>
          <p>
            {shop.name}: {formatStretch(value.from, value.to, zone)}, times of {zoneName(zone)}.
            {drawnUp !== null && ` Drawn up ${formatDateTime(drawnUp, zone)}.`}
          </p>
          {value.kept && (
            <Figures
              of={[
                [
                  'Outside its limits',
                  <>
                    {formatHours(value.kept.all.outside / 1000)} <span class="quiet">of {formatHours(of / 1000)}</span>
                  </>,
                ],
                ['Within all of them', formatHours(value.kept.all.within / 1000)],
                ['Not known', formatHours(value.kept.all.notKnown / 1000)],
                ['Limits stated by', value.limits?.statedBy, 'is-words'],
              ]}
            />
          )}
          <h3>Limits</h3>
          <LimitsTable answer={value} />
          {value.kept && (
            <>
              <h3>Excursions</h3>
              {excursions === 0 ? (
                <p class="quiet">None that is known of.</p>
              ) : (
                <ExcursionsTable answer={value} zone={zone} whole={whole} />
              )}
              {excursions > fewExcursions && (
                <p class="screen-only">
                  <Button onClick={() => setWhole(!whole)}>
                    {whole ? 'Show the first only' : `Show all ${excursions} excursions`}
                  </Button>
                </p>
              )}
            </>
          )}
          <Course answer={value} reference={shop.referenceTemperature} zone={zone} />
          <h3>Temperatures</h3>
          <StatisticsTable answer={value} />
          <h3>Sensors and their calibration</h3>
          <CalibrationTable answer={value} zone={zone} />
          <h3>Gaps</h3>
          {value.sensors.every(({ gaps }) => gaps.length === 0) ? (
            <p class="quiet">None.</p>
          ) : (
            <GapsTable answer={value} zone={zone} />
          )}
          <h3>What was not believed</h3>
          {value.notBelieved.length === 0 ? (
            <p class="quiet">Every sensor was believed throughout.</p>
          ) : (
            <NotBelievedTable answer={value} zone={zone} />
          )}
          <RestsOn
            interval={value.interval}
            readings={value.sensors.reduce((sum, { statistics }) => sum + statistics.readings, 0)}
            sensors={value.sensors.length}
          />
          <div class="screen-only">
            <p class="flow record-csv">
              As CSV:{' '}
              {csvTables.map(({ id: table, text }) => (
                <a
                  key={table}
                  href={recordCsvPath(subject, value, table)}
                  download={`${subject.id}-${table}.csv`}
                  aria-label={`${text} of ${subject.name} as CSV`}
                >
                  {text}
                </a>
              ))}
            </p>
          </div>
        </>
      )}
    </Card>
  )
}
