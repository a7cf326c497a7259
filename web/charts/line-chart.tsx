import { useMemo, useState } from 'preact/hooks'
import { formatGrowth, formatTemperature, notKnown, temperatureScale, type Zone } from '../../core/format.js'
import { go } from '../address.js'
import { happenedAbout, happenedAddress, longestHappened } from '../frame/happened.js'
import { Problem } from '../frame/problem.js'
import { Legend } from './legend.js'
import { extremes } from './lines.js'
import { wallScale } from './scale.js'
import { type Line, type Marks, TimeChart } from './time-chart.js'
import './charts.css'
import { CsvLink } from '../frame/csv-link.js'
import { units } from '../preferences.js'

const quantities = {
  growth: { scale: wallScale, format: formatGrowth },
  temperature: { scale: temperatureScale, format: formatTemperature },
}

const noMarks: Marks = { level: null, moments: [] }

interface Props {
  id: string
  title: string
  /** what the chart is of, for those who do not see it */
  about: string
  hint?: string
  csv: string
  problem?: string
  /** said when there is nothing to draw; empty when there is */
  empty?: string
  lines: readonly Line[]
  marks?: Marks
  range: { from: number; to: number }
  zone: Zone
  /** what is drawn: lengths or temperatures */
  of: keyof typeof quantities
  /** a point tells its value with one more; 1 if not given */
  decimals?: number
  /** id of the machine that it is of: what happened there is a click away */
  machine?: string
}

/** A chart over time with its name, its legend and the same as numbers. */
export const LineChart = (props: Props) => {
  const { id, title, about, hint = '', problem = '', marks = noMarks, lines, range, machine } = props
  const system = units.value
  const { scale, format } = quantities[props.of]
  const [hidden, setHidden] = useState<ReadonlySet<string>>(new Set())
  const shown = useMemo(() => lines.filter(l => !hidden.has(l.id)), [lines, hidden])
  const entries = useMemo(
    () =>
      lines.map(({ id, name, style, points }) => {
        const e = extremes(points)
        const written = (pick: 'last' | 'lowest' | 'highest') => (e ? format(e[pick], system) : notKnown)
        return { id, name, style, last: written('last'), lowest: written('lowest'), highest: written('highest') }
      }),
    [lines, system, format],
  )
  const toggle = (line: string) => {
    const next = new Set(hidden)
    if (!next.delete(line)) next.add(line)
    setHidden(next)
  }
  return (
    <section class="stack over-time" aria-labelledby={id}>
      <div class="panel-head">
        <h3 id={id}>{title}</h3>
        <p class="quiet">
          {hint}{' '}
          {machine !== undefined && range.to - range.from <= longestHappened && (
            <>
              <a href={happenedAddress(machine, range.from, range.to)} aria-label={`What happened then? ${title}`}>
                What happened?
              </a>{' '}
            </>
          )}
          <CsvLink href={props.csv} name={id} about={`${title} as CSV`} />
        </p>
      </div>
      <Problem text={problem} />
      {props.empty && <p class="empty">{props.empty}</p>}
      <div class="chart-and-legend">
        <TimeChart
          label={`${about} over time; what its lines range over is in the table below`}
          lines={shown}
          marks={marks}
          from={range.from}
          to={range.to}
          zone={props.zone}
          scale={scale[system]}
          decimals={props.decimals ?? 1}
          {...(machine !== undefined && { onMoment: at => go(happenedAbout(machine, at, range)) })}
        />
        {entries.length > 0 && (
          <Legend caption={`${about} in this span`} entries={entries} hidden={hidden} onToggle={toggle} />
        )}
      </div>
    </section>
  )
}
