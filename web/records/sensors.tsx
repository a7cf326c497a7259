import {
  formatDateTime,
  formatDifference,
  formatDuration,
  formatHours,
  formatOffset,
  formatShare,
  formatStretch,
  formatTemperature,
  notKnown,
  type Zone,
} from '../../core/format.js'
import { saySensorFault } from '../../core/sentences/index.js'
import type { RecordAnswer, RecordedSensor } from '../../server/http/schemas/records.js'
import { Table } from '../frame/table.js'
import { units } from '../preferences.js'

interface Props {
  answer: RecordAnswer
  zone: Zone
}

const keyOf = ({ sensor }: RecordedSensor) => sensor
const named = { head: 'Sensor', names: true, cell: ({ name }: RecordedSensor) => name } as const

export const StatisticsTable = ({ answer: { sensors } }: Omit<Props, 'zone'>) => (
  <Table
    caption="Minimum, maximum, mean and standard deviation"
    rows={sensors}
    keyOf={keyOf}
    columns={[
      named,
      ['Minimum', ({ statistics: s }) => formatTemperature(s.minimum, units.value, 2)],
      ['Maximum', ({ statistics: s }) => formatTemperature(s.maximum, units.value, 2)],
      ['Mean', ({ statistics: s }) => formatTemperature(s.mean, units.value, 2)],
      ['Standard deviation', ({ statistics: s }) => formatDifference(s.standardDeviation, units.value, 'plain', 2)],
      ['Readings', ({ statistics: s }) => s.readings],
      ['Of the period', ({ statistics: s }) => (s.intervals > 0 ? formatShare(s.known / s.intervals) : notKnown)],
      { head: 'Limits', cell: ({ judged }) => (judged ? 'held against' : '') },
    ]}
  />
)

const dueWords = ({ calibration, overdue }: RecordedSensor) => {
  if (!calibration?.due) return 'no day stated'
  return overdue ? `${calibration.due}, ${overdue} ${overdue === 1 ? 'day' : 'days'} overdue` : calibration.due
}

export const CalibrationTable = ({ answer: { sensors, from }, zone }: Props) => (
  <Table
    caption="Calibration, and what was added to readings"
    rows={sensors}
    keyOf={keyOf}
    columns={[
      named,
      { head: 'Place', cell: ({ place }) => place },
      { head: 'Calibrated', form: 'nowrap', cell: ({ calibration }) => calibration?.date ?? notKnown },
      { head: 'Due', cell: sensor => dueWords(sensor) },
      { head: 'Certificate', cell: ({ calibration }) => calibration?.certificate ?? notKnown },
      ['Uncertainty (k = 2)', ({ uncertainty }) => formatDifference(2 * uncertainty, units.value, 'plain', 2)],
      {
        head: 'Offset in force',
        cell: ({ offsets }) =>
          offsets
            .map(
              ({ since, offset }) =>
                `${formatOffset(offset, units.value)}${since > from ? ` since ${formatDateTime(since, zone)}` : ''}`,
            )
            .join(', '),
      },
      ['Reports every', ({ reportInterval }) => formatDuration(reportInterval)],
    ]}
  />
)

/** Gaps in order of time, each with all sensors that have that very one: an outage is one row. */
const gapsTogether = (sensors: readonly RecordedSensor[]) => {
  const found = new Map<string, RecordedSensor['gaps'][number] & { names: string[] }>()
  for (const { name, gaps } of sensors)
    for (const gap of gaps) {
      const key = `${gap.from} ${gap.to} ${gap.why}`
      const same = found.get(key)
      if (same) same.names.push(name)
      else found.set(key, { ...gap, names: [name] })
    }
  return [...found.values()].sort((a, b) => a.from - b.from)
}

export const GapsTable = ({ answer: { sensors }, zone }: Props) => (
  <Table
    caption="Gaps"
    rows={gapsTogether(sensors)}
    keyOf={({ names, from }) => `${names[0]} ${from}`}
    columns={[
      {
        head: 'Sensor',
        names: true,
        cell: ({ names }) =>
          names.length === sensors.length && names.length > 1 ? 'all of its sensors' : names.join(', '),
      },
      { head: 'From – to', cell: ({ from, to }) => formatStretch(from, to, zone) },
      ['Lasted', ({ from, to }) => formatHours((to - from) / 1000)],
      { head: 'Why', cell: ({ why }) => why },
    ]}
  />
)

export const NotBelievedTable = ({ answer: { sensors, notBelieved }, zone }: Props) => {
  const names = new Map(sensors.map(({ sensor, name }) => [sensor, name]))
  return (
    <Table
      caption="What was not believed"
      rows={notBelieved}
      keyOf={({ sensor, from }) => `${sensor} ${from}`}
      columns={[
        { head: 'Sensor', names: true, cell: ({ sensor }) => names.get(sensor) ?? sensor },
        {
          head: 'From – to',
          cell: ({ from, to }) =>
            to === null ? `since ${formatDateTime(from, zone)}, still so` : formatStretch(from, to, zone),
        },
        {
          head: 'Why',
          form: 'note',
          cell: ({ faults, from }) =>
            [
              ...new Set(faults.map(fault => saySensorFault(fault, { system: units.value, zone, now: from }).text)),
            ].join('; '),
        },
      ]}
    />
  )
}
