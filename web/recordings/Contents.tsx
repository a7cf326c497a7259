import { formatDateTime, formatTemperature, notKnown, type UnitSystem } from '../../core/format.js'
import { Scrolls } from '../frame/Scrolls.js'
import { type Account, counted, recordingPath, type SensorPart } from './recording.js'

interface Props {
  account: Account
  system: UnitSystem
  zone: string
}

const shownValue = (value: number, unit: SensorPart['unit'] | undefined, system: UnitSystem): string =>
  unit === 'state' ? (value === 1 ? 'open or running' : 'shut or at rest') : formatTemperature(value, system, 2)

const unitInWords = ({ unit, unitWritten }: SensorPart): string => {
  if (unit === 'state') return 'open or shut'
  return unitWritten ? unit : `${unit}, taken for granted`
}

/** How much there is, and what of it cannot be taken. */
export const Totals = ({ account, zone }: Omit<Props, 'system'>) => (
  <dl class="figures">
    <div>
      <dt>Readings understood</dt>
      <dd>{account.readings}</dd>
    </div>
    <div>
      <dt>Rows below the headings</dt>
      <dd>{account.rows}</dd>
    </div>
    <div>
      <dt>Left out</dt>
      <dd>
        {counted(account.rowsRefused, 'row')}
        {account.valuesRefused > 0 && <span class="quiet"> and {counted(account.valuesRefused, 'single value')}</span>}
      </dd>
    </div>
    <div>
      <dt>From</dt>
      <dd>{formatDateTime(account.from, zone)}</dd>
    </div>
    <div>
      <dt>To</dt>
      <dd>{formatDateTime(account.to, zone)}</dd>
    </div>
  </dl>
)

const Sensors = ({ account, system }: Omit<Props, 'zone'>) => (
  <div>
    <h3>Sensors</h3>
    <Scrolls label="Sensors of the recording">
      <table class="table">
        <caption class="hidden">What of the recording belongs to which sensor</caption>
        <thead>
          <tr>
            <th scope="col">{account.form === 'columns' ? 'Column' : 'In the rows'}</th>
            <th scope="col">Sensor</th>
            <th scope="col">Unit</th>
            <th scope="col" class="number">
              Readings
            </th>
            <th scope="col" class="number">
              Lowest
            </th>
            <th scope="col" class="number">
              Highest
            </th>
          </tr>
        </thead>
        <tbody>
          {account.sensors.map(part => (
            <tr key={part.sensor}>
              <th scope="row" class="nowrap">
                {part.heading}
              </th>
              <td class="nowrap">{part.name}</td>
              <td class="nowrap">{unitInWords(part)}</td>
              <td class="number">{part.readings}</td>
              <td class="number">{part.unit === 'state' ? notKnown : shownValue(part.lowest, part.unit, system)}</td>
              <td class="number">{part.unit === 'state' ? notKnown : shownValue(part.highest, part.unit, system)}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </Scrolls>
  </div>
)

const Samples = ({ account, system, zone }: Props) => {
  const parts = new Map(account.sensors.map(part => [part.sensor, part]))
  return (
    <div>
      <h3>First readings, as understood</h3>
      <Scrolls label="First readings of the recording">
        <table class="table">
          <caption class="hidden">First readings: what stands in the file and what it is taken for</caption>
          <thead>
            <tr>
              <th scope="col" class="number">
                Line
              </th>
              <th scope="col">Time in the file</th>
              <th scope="col">Time in the shop</th>
              <th scope="col">Sensor</th>
              <th scope="col" class="number">
                In the file
              </th>
              <th scope="col" class="number">
                Value
              </th>
            </tr>
          </thead>
          <tbody>
            {account.samples.map(({ line, time, written, sensor, at, value }) => (
              <tr key={`${line} ${sensor}`}>
                <th scope="row" class="number">
                  {line}
                </th>
                <td class="nowrap">{time}</td>
                <td class="nowrap">{formatDateTime(at, zone)}</td>
                <td class="nowrap">{parts.get(sensor)?.name ?? sensor}</td>
                <td class="number">{written}</td>
                <td class="number">{shownValue(value, parts.get(sensor)?.unit, system)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </Scrolls>
    </div>
  )
}

const Faults = ({ account }: { account: Account }) => {
  const total = account.faultCounts.reduce((sum, { count }) => sum + count, 0)
  return (
    <div>
      <div class="panel-head">
        <h3>What is wrong in it</h3>
        <a href={recordingPath('csv')} download="faults.csv">
          Faults as CSV
        </a>
      </div>
      <p>
        {account.faultCounts.map(({ kind, count }) => `${kind}: ${count}`).join(' · ')}
        {total > account.faults.length && ` — the first ${account.faults.length} are shown`}
      </p>
      <Scrolls label="Faults of the recording">
        <table class="table">
          <caption class="hidden">Faults of the recording, in order of lines</caption>
          <thead>
            <tr>
              <th scope="col" class="number">
                Line
              </th>
              <th scope="col">Column</th>
              <th scope="col">What is wrong</th>
              <th scope="col">What to do</th>
            </tr>
          </thead>
          <tbody>
            {account.faults.map((fault, i) => (
              <tr key={`${fault.line} ${fault.column} ${i}`}>
                <th scope="row" class="number">
                  {fault.line || 'file'}
                </th>
                <td>{fault.column || 'whole row'}</td>
                <td class="note">{fault.problem}</td>
                <td class="note">{fault.remedy}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </Scrolls>
    </div>
  )
}

/** Everything that is to be known of a recording before, and after, it is imported. */
export const Contents = ({ account, system, zone }: Props) => (
  <>
    {account.repeatedHour > 0 && (
      <p>
        {counted(account.repeatedHour, 'row falls', 'rows fall')} in the hour that clocks repeat in autumn. Whether a
        time is of the first or the second pass is told by the order of the rows; to be sure, record times with their
        zone.
      </p>
    )}
    {account.leftOut.length > 0 && (
      <p>Columns left out: {account.leftOut.map(({ heading, why }) => `${heading} (${why})`).join('; ')}.</p>
    )}
    {account.unknown.length > 0 && (
      <p>
        No sensors of this shop:{' '}
        {account.unknown.map(({ name, readings }) => `${name || 'no name'} (${counted(readings, 'row')})`).join(', ')}.
      </p>
    )}
    {account.faults.length > 0 && <Faults account={account} />}
    {account.sensors.length > 0 && <Sensors account={account} system={system} />}
    {account.samples.length > 0 && <Samples account={account} system={system} zone={zone} />}
  </>
)
