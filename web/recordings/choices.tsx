import { useEffect, useState } from 'preact/hooks'
import type { RecordingChoices } from '../../core/facts.js'
import { formatDateTime, type Zone } from '../../core/format.js'
import { nameOf } from '../../core/names.js'
import { isThermometer, type Sensor } from '../../core/shop.js'
import type {
  RecordingContents,
  RecordingPreview,
  RecordingState,
  SensorPart,
} from '../../server/http/schemas/recording.js'
import { Button } from '../frame/button.js'
import { DateOrder } from '../frame/date-order.js'
import { Select, SelectField } from '../frame/fields.js'
import { Table } from '../frame/table.js'
import { units } from '../preferences.js'
import { counted } from '../words.js'
import { example, shownValue } from './contents.js'

interface Props {
  recording: RecordingState
  preview: RecordingPreview
  contents: RecordingContents
  sensors: readonly Sensor[]
  zone: Zone
  /** reads it again as said */
  onChoose: (choices: RecordingChoices) => void
  /** whether something was changed here that it has not been read with yet */
  onUnread: (unread: boolean) => void
}

const offsets = Array.from({ length: 27 }, (_, i) => i - 12).map(
  hours => `${hours < 0 ? '-' : '+'}${String(Math.abs(hours)).padStart(2, '0')}:00`,
)

const Dates = ({ preview: { choices }, contents: { datesUnclear }, onChoose }: Props) => {
  if (datesUnclear === '' && choices.order === null) return null
  return <DateOrder unclear={datesUnclear} order={choices.order} onChoose={order => onChoose({ ...choices, order })} />
}

const Clock = ({ preview: { choices, clockOffset }, sensors, zone, onChoose }: Props) => {
  const known = choices.offset === null || offsets.includes(choices.offset)
  return (
    <div class="flow asked">
      {clockOffset && (
        <p class="notice">
          The recorder’s clock does not seem to know summer time:{' '}
          {clockOffset.with
            ? `from ${formatDateTime(clockOffset.from, zone)} on, ${nameOf(sensors, clockOffset.sensor)} agrees with ${nameOf(sensors, clockOffset.with)} only when moved by an hour.`
            : `there are rows in the hour that clocks left out on ${formatDateTime(clockOffset.from, zone)}.`}{' '}
          <Button onClick={() => onChoose({ ...choices, offset: clockOffset.offset })}>
            Read its times as {clockOffset.offset}
          </Button>
        </p>
      )}
      <SelectField
        label="Times without a zone are"
        value={choices.offset ?? ''}
        options={[
          { value: '', text: 'the shop’s, with summer time' },
          ...[...(known ? [] : [choices.offset!]), ...offsets].map(value => ({ value, text: `always UTC${value}` })),
        ]}
        onChange={offset => onChoose({ ...choices, offset: offset || null })}
      />
    </div>
  )
}

const Codes = ({ preview: { choices, codes }, onChoose }: Props) =>
  codes.length === 0 ? null : (
    <div class="flow asked">
      <p>
        Looks like an error code of the device:{' '}
        {codes.map(({ name, code, readings }) => `${code} (${counted(readings, 'time')}, ${name})`).join('; ')}. No
        other reading comes near it.
      </p>
      <label>
        <input
          type="checkbox"
          checked={!choices.keepCodes}
          onChange={event => onChoose({ ...choices, keepCodes: !event.currentTarget.checked })}
        />{' '}
        Leave these readings out
      </label>
    </div>
  )

const Contradicting = ({ preview: { contradictions }, sensors, zone }: Props) => {
  const system = units.value
  const { stored, inFile, examples } = contradictions
  if (stored + inFile === 0) return null
  const of = (id: string) => sensors.find(sensor => sensor.id === id)
  return (
    <div>
      <h3>Readings that contradict others</h3>
      <p>
        {stored > 0 &&
          `${counted(stored, 'reading says', 'readings say')} another thing than what is stored of the same sensor and time; what is stored stays. `}
        {inFile > 0 &&
          `${counted(inFile, 'reading says', 'readings say')} another thing than one earlier in the file; the first counts.`}
      </p>
      <Table
        caption="Readings of the file that contradict others, the first ones"
        rows={examples}
        keyOf={({ sensor, at, value }, i) => `${sensor} ${at} ${value} ${i}`}
        columns={[
          { head: 'Sensor', names: true, form: 'nowrap', cell: ({ sensor }) => of(sensor)?.name ?? sensor },
          { head: 'Time', form: 'nowrap', cell: ({ at }) => formatDateTime(at, zone) },
          ['In the file', ({ sensor, value }) => shownValue(value, of(sensor)?.unit, system)],
          ['What counts', ({ sensor, before }) => shownValue(before, of(sensor)?.unit, system)],
          { head: 'Where that is', form: 'nowrap', cell: ({ where }) => where },
        ]}
      />
    </div>
  )
}

const unitChoices = ['°C', '°F', 'K'] as const
interface Said {
  heading: string
  example: string
  use: string
  unit: SensorPart['unit'] | null
}

const Columns = ({ preview: { choices }, contents, sensors: all, onChoose, onUnread }: Props) => {
  // what a growth test reads is in no recording
  const sensors = all.filter(({ unit }) => unit !== 'µm' && unit !== 'mm' && unit !== 'in')
  const [columns, setColumns] = useState(choices.columns)
  const [given, setGiven] = useState(choices.units)
  const changed = JSON.stringify([columns, given]) !== JSON.stringify([choices.columns, choices.units])
  useEffect(() => onUnread(changed), [changed])
  const rows: Said[] = [
    ...contents.columns.filter(({ heading }) => heading !== ''),
    ...contents.unknown.map(({ name }) => ({ heading: name, example: 'in the rows', use: 'nothing', unit: null })),
  ]
  const useOf = ({ heading, use }: Said) => columns[heading] ?? use
  const needed = !contents.readable || contents.unknown.length > 0
  return (
    <details class="recording-columns" open={needed}>
      <summary>
        Columns and what they are{contents.headingLine > 1 && `, headed in line ${contents.headingLine}`}
      </summary>
      <Table
        caption="Columns of the file, and what each is"
        rows={rows}
        keyOf={({ heading }, i) => `${heading} ${i}`}
        columns={[
          { head: 'Heading', names: true, form: 'nowrap', cell: ({ heading }) => heading },
          { head: 'First row', form: 'nowrap', cell: ({ example }) => example },
          {
            head: 'What it is',
            cell: row => (
              <Select
                aria-label={`What ${row.heading} is`}
                value={useOf(row)}
                options={[
                  { value: 'nothing', text: 'left out' },
                  { value: 'time', text: 'time, or time of day' },
                  'date',
                  ...(row.use === 'something else that is needed' ? [{ value: row.use, text: 'understood' }] : []),
                  ...sensors.map(({ id, name }) => ({ value: `sensor ${id}`, text: name })),
                ]}
                onChange={use => setColumns({ ...columns, [row.heading]: use })}
              />
            ),
          },
          {
            head: 'Unit',
            cell: row => {
              const id = useOf(row).replace(/^sensor /, '')
              const sensor = useOf(row) === id ? undefined : sensors.find(each => each.id === id)
              if (!sensor) return ''
              if (sensor.unit === 'state') return 'open or shut'
              if (!isThermometer(sensor)) return row.unit ?? sensor.unit
              const unit = (given[row.heading] ?? row.unit ?? sensor.unit) as (typeof unitChoices)[number]
              return (
                <>
                  <Select
                    aria-label={`Unit of ${row.heading}`}
                    value={unit}
                    options={unitChoices}
                    onChange={chosen => setGiven({ ...given, [row.heading]: chosen })}
                  />{' '}
                  <span class="quiet">{example(unit, units.value)}</span>
                </>
              )
            },
          },
        ]}
      />
      <Button main disabled={!changed} onClick={() => onChoose({ ...choices, columns, units: given })}>
        Read it so
      </Button>
    </details>
  )
}

/** What a person must know, or can say, of a recording before it is imported. */
export const Choices = (props: Props) => {
  const { remembered } = props.preview
  return (
    <section class="recording-choices" aria-label="How it is read">
      {remembered && (
        <p>
          Read as {remembered.by} said on {formatDateTime(remembered.at, props.zone)} of a recording with the same
          headings.
        </p>
      )}
      <Dates {...props} />
      <Codes {...props} />
      <Contradicting {...props} />
      <Clock {...props} />
      <Columns {...props} key={JSON.stringify([props.recording.id, props.preview.choices])} />
    </section>
  )
}
