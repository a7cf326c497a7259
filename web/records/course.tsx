import { useMemo } from 'preact/hooks'
import { formatTemperature, type Zone } from '../../core/format.js'
import type { RecordAnswer } from '../../server/http/schemas/records.js'
import { LineChart } from '../charts/line-chart.js'
import { hole } from '../charts/lines.js'
import { withGaps } from '../charts/span.js'
import type { Line, Marks } from '../charts/time-chart.js'
import { units } from '../preferences.js'
import { recordCsvPath } from './answers.js'

interface Props {
  answer: RecordAnswer
  /** of the shop, °C */
  reference: number
  zone: Zone
}

/** The sensors that are held against the limits, over the period; stretches outside the limits are shaded. */
export const Course = ({ answer, reference, zone }: Props) => {
  const system = units.value
  const { sensors, subject, kept, from, to } = answer
  const lines = useMemo<Line[]>(
    () =>
      sensors
        .filter(({ course }) => course.length > 0)
        .map(({ sensor, name, course }, style) => ({
          id: sensor,
          name,
          style,
          banded: true,
          points: withGaps(
            course.map(({ at, mean, low, high }) => ({ at, value: mean, low, high })),
            hole,
            answer.interval,
          ),
        })),
    [answer],
  )
  const marks = useMemo<Marks>(
    () => ({
      level: { at: reference, text: formatTemperature(reference, system, 0) },
      moments: [],
      stretches: (kept?.excursions ?? []).map(each => ({ from: each.from, to: each.to, text: '' })),
    }),
    [answer, reference, system],
  )
  return (
    <div class="screen-only">
      <LineChart
        id={`course-${subject.kind}-${subject.id}`}
        title="Temperature"
        about={`Temperature: ${subject.name}`}
        hint="Bands run from the lowest to the highest reading; shaded is outside a limit."
        csv={recordCsvPath(subject, { from, to }, 'intervals')}
        empty={lines.length === 0 ? 'Nothing that could be believed was read in this period.' : ''}
        lines={lines}
        marks={marks}
        range={{ from, to }}
        zone={zone}
        of="temperature"
      />
    </div>
  )
}
