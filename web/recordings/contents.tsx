import {
  formatDateTime,
  formatSpeed,
  formatStretch,
  formatTemperature,
  notKnown,
  type UnitSystem,
  type Zone,
} from '../../core/format.js'
import type { Sensor } from '../../core/shop.js'
import { toCelsius } from '../../core/units.js'
import type { RecordingContents, SensorPart } from '../../server/http/schemas/recording.js'
import { asCsv } from '../api.js'
import { CsvLink } from '../frame/csv-link.js'
import { Figures } from '../frame/figures.js'
import { Table } from '../frame/table.js'
import { units } from '../preferences.js'
import { counted } from '../words.js'

interface Props {
  contents: RecordingContents
  zone: Zone
}

/** what a sensor's state, speed or temperature reads as */
export const shownValue = (
  value: number,
  unit: SensorPart['unit'] | Sensor['unit'] | undefined,
  system: UnitSystem,
): string =>
  unit === 'state'
    ? value === 1
      ? 'open or running'
      : 'shut or at rest'
    : unit === '1/min' || unit === '1/s'
      ? formatSpeed(value)
      : formatTemperature(value, system, 2)

const extreme = (value: number, unit: SensorPart['unit'], system: UnitSystem): string =>
  unit === 'state' ? notKnown : shownValue(value, unit, system)

/** "74 means 23.3 °C": what a bare number would be taken for */
export const example = (unit: '°C' | '°F' | 'K', system: UnitSystem): string =>
  `74 means ${formatTemperature(toCelsius(74, unit), system)}`

const unitInWords = ({ unit, unitWritten }: SensorPart, system: UnitSystem): string => {
  if (unit === 'state') return 'open or shut'
  return unitWritten || unit === '1/min' || unit === '1/s'
    ? unit
    : `${unit}, the sensor’s own: ${example(unit, system)}`
}

/** How much there is, and what of it cannot be taken. */
export const Totals = ({ contents, zone }: Props) => (
  <Figures
    of={[
      ['Readings understood', contents.readings],
      ['Rows below the headings', contents.rows],
      [
        'Left out',
        <>
          {counted(contents.rowsRefused, 'row')}
          {contents.valuesRefused > 0 && (
            <span class="quiet"> and {counted(contents.valuesRefused, 'single value')}</span>
          )}
          {contents.codesLeftOut > 0 && <span class="quiet"> and {counted(contents.codesLeftOut, 'error code')}</span>}
        </>,
      ],
      [
        'Span',
        contents.from === null || contents.to === null ? notKnown : formatStretch(contents.from, contents.to, zone),
        'is-words',
      ],
    ]}
  />
)

const Sensors = ({ contents }: Omit<Props, 'zone'>) => (
  <div>
    <h3>Sensors</h3>
    <Table
      caption="What of the recording belongs to which sensor"
      rows={contents.sensors}
      keyOf={({ sensor }) => sensor}
      columns={[
        {
          head: contents.form === 'columns' ? 'Column' : 'In the rows',
          names: true,
          form: 'nowrap',
          cell: ({ heading }) => heading,
        },
        { head: 'Sensor', form: 'nowrap', cell: ({ name }) => name },
        { head: 'Unit', form: 'nowrap', cell: part => unitInWords(part, units.value) },
        ['Readings', ({ readings }) => readings],
        ['Lowest', ({ unit, lowest }) => extreme(lowest, unit, units.value)],
        ['Highest', ({ unit, highest }) => extreme(highest, unit, units.value)],
      ]}
    />
  </div>
)

const Samples = ({ contents, zone }: Props) => {
  const parts = new Map(contents.sensors.map(part => [part.sensor, part]))
  return (
    <div>
      <h3>First readings, as understood</h3>
      <Table
        caption="First readings: what stands in the file and what it is taken for"
        rows={contents.samples}
        keyOf={({ line, sensor }) => `${line} ${sensor}`}
        columns={[
          ['Line', ({ line }) => line],
          { head: 'Time in the file', form: 'nowrap', cell: ({ time }) => time },
          { head: 'Time in the shop', form: 'nowrap', cell: ({ at }) => formatDateTime(at, zone) },
          { head: 'Sensor', form: 'nowrap', cell: ({ sensor }) => parts.get(sensor)?.name ?? sensor },
          ['In the file', ({ written }) => written],
          ['Value', ({ sensor, value }) => shownValue(value, parts.get(sensor)?.unit, units.value)],
        ]}
      />
    </div>
  )
}

const Faults = ({ contents }: { contents: RecordingContents }) => {
  const total = contents.faultCounts.reduce((sum, { count }) => sum + count, 0)
  return (
    <div>
      <div class="panel-head">
        <h3>What is wrong in it</h3>
        <CsvLink href={asCsv('/api/recording')} name="faults" text="Faults as CSV" />
      </div>
      <p>
        {contents.faultCounts.map(({ kind, count }) => `${kind}: ${count}`).join(' · ')}
        {total > contents.faults.length && ` — the first ${contents.faults.length} are shown`}
      </p>
      <Table
        caption="Faults of the recording, in order of lines"
        rows={contents.faults}
        keyOf={({ line, column }, i) => `${line} ${column} ${i}`}
        columns={[
          ['Line', ({ line }) => line || 'file'],
          { head: 'Column', cell: ({ column }) => column || 'whole row' },
          { head: 'What is wrong', form: 'note', plain: 'on a card', cell: ({ problem }) => problem },
          { head: 'What to do', form: 'note', plain: 'on a card', cell: ({ remedy }) => `→ ${remedy}` },
        ]}
      />
    </div>
  )
}

/** Everything that is to be known of a recording before, and after, it is imported. */
export const Contents = ({ contents, zone }: Props) => (
  <>
    {contents.repeatedHour > 0 && (
      <p>
        {counted(contents.repeatedHour, 'row falls', 'rows fall')} in the hour that clocks repeat in autumn. Whether a
        time is of the first or the second pass is told by the order of the rows; to be sure, record times with their
        zone.
      </p>
    )}
    {contents.leftOut.length > 0 && (
      <p>Columns left out: {contents.leftOut.map(({ heading, why }) => `${heading} (${why})`).join('; ')}.</p>
    )}
    {contents.unknown.length > 0 && (
      <p>
        No sensors of this shop:{' '}
        {contents.unknown.map(({ name, readings }) => `${name || 'no name'} (${counted(readings, 'row')})`).join(', ')}.
      </p>
    )}
    {contents.faults.length > 0 && <Faults contents={contents} />}
    {contents.sensors.length > 0 && <Sensors contents={contents} />}
    {contents.samples.length > 0 && <Samples contents={contents} zone={zone} />}
  </>
)
