import { useState } from 'preact/hooks'
import { formatDateTime, formatDuration, formatGrowth, type Zone } from '../../core/format.js'
import type { Machine } from '../../core/shop.js'
import type { ComparisonAnswer, LogSummary } from '../../server/http/schemas/measured.js'
import { query, setQuery } from '../address.js'
import { useAddress } from '../answer.js'
import { asCsv, machinePath } from '../api.js'
import { LineChart } from '../charts/line-chart.js'
import type { Line } from '../charts/time-chart.js'
import { Button } from '../frame/button.js'
import { CardTitle } from '../frame/card.js'
import { Figures } from '../frame/figures.js'
import { Done, Problem } from '../frame/problem.js'
import { signedColumns, Table } from '../frame/table.js'
import { units } from '../preferences.js'
import { LogDialog } from './log-dialog.js'

type Points = NonNullable<ComparisonAnswer['comparison']>['points']

const line = (id: string, name: string, style: number, points: Points, pick: (p: Points[number]) => number): Line => ({
  id,
  name,
  style,
  banded: false,
  points: points.map(p => ({ at: p.at, value: pick(p) })),
})

const zeroMarked = { level: { at: 0, text: 'as computed' }, moments: [] }

interface ComparisonProps {
  machine: Machine
  log: LogSummary
  window: number
  zone: Zone
}

/** One log beside the growth that temperatures give for its time. */
const Comparison = ({ machine, log, window, zone }: ComparisonProps) => {
  const system = units.value
  const address = machinePath(machine.id, `environment/logs/${log.id}`, { window })
  const { value, problem } = useAddress<ComparisonAnswer>(address)
  if (!value) return problem ? <Problem text={problem} /> : <p class="empty">Comparing …</p>
  const { comparison, worst } = value
  if (!comparison)
    return (
      <p class="empty">
        At the times of this log the stored readings do not give the growth of {log.axis}, so there is nothing to
        compare it with.
      </p>
    )
  const { points, rms, rmsMeasured, largest, leftOut } = comparison
  const range = { from: points[0]!.at, to: points.at(-1)!.at }
  const chart = { csv: asCsv(address), range, zone, of: 'growth' as const }
  return (
    <>
      <Figures
        of={[
          ['RMS of the residuals', formatGrowth(rms, system, 'plain')],
          ['RMS of the measured drift itself', formatGrowth(rmsMeasured, system, 'plain')],
          [
            'Largest residual',
            <>
              {formatGrowth(largest.residual, system)} <span class="quiet">{formatDateTime(largest.at, zone)}</span>
            </>,
          ],
          [
            `Largest measured change within ${formatDuration(window)}`,
            formatGrowth(worst?.change ?? null, system, 'plain'),
          ],
          [
            'Values compared',
            <>
              {points.length}
              {leftOut > 0 && <span class="quiet"> ({leftOut} left out, no readings then)</span>}
            </>,
          ],
        ]}
      />
      <LineChart
        {...chart}
        id="log-and-growth"
        title={`${log.axis}, measured and computed`}
        about={`Drift of ${log.axis} as measured and as computed`}
        hint="Counted from the log’s first value; computed from temperatures, with the mean difference taken out."
        lines={[
          line('measured', 'measured', 0, points, p => p.measured),
          line('computed', 'computed', 1, points, p => p.predicted),
        ]}
      />
      <LineChart
        {...chart}
        id="log-residuals"
        title="Residuals"
        about={`Measured minus computed drift of ${log.axis}`}
        hint="Measured minus computed."
        lines={[line('residual', 'residual', 4, points, p => p.residual)]}
        marks={zeroMarked}
      />
    </>
  )
}

interface Props {
  machine: Machine
  logs: readonly LogSummary[]
  window: number
  zone: Zone
  again: () => void
}

/** Logs of indicators and probes, and the comparison of one of them. */
export const Logs = ({ machine, logs, window, zone, again }: Props) => {
  const [open, setOpen] = useState(false)
  const [done, setDone] = useState('')
  const chosen = logs.find(l => String(l.id) === query.value.get('log')) ?? logs[0]
  return (
    <section class="panel" aria-labelledby="logs">
      <CardTitle id="logs" text="Indicator or probe log" about="measuring#environment-test">
        <Button onClick={() => setOpen(true)}>Upload a log …</Button>
      </CardTitle>
      <Done text={done} />
      {logs.length === 0 ? (
        <p class="quiet">
          No log yet. Leave an indicator or a probe on the machine at rest, log it for a night, and upload the log: it
          is compared with what the temperatures say.
        </p>
      ) : (
        <Table
          caption="Logs, newest first"
          rows={logs}
          keyOf={({ id }) => id}
          columns={[
            {
              head: 'Log',
              names: true,
              cell: log =>
                log === chosen ? (
                  <span aria-current="true">Log {log.id}, shown</span>
                ) : (
                  <Button onClick={() => setQuery({ log: String(log.id) })}>Show log {log.id}</Button>
                ),
            },
            { head: 'Axis', cell: ({ axis }) => axis },
            { head: 'From', form: 'nowrap', cell: ({ from }) => formatDateTime(from, zone) },
            { head: 'To', form: 'nowrap', cell: ({ to }) => formatDateTime(to, zone) },
            ['Values', ({ count }) => count],
            ...signedColumns,
          ]}
        />
      )}
      {chosen && <Comparison machine={machine} log={chosen} window={window} zone={zone} />}
      {open && (
        <LogDialog
          machine={machine}
          onDone={log => {
            setDone(`Log ${log.id} stored: ${log.count} values of ${log.axis}.`)
            setQuery({ log: String(log.id) })
            again()
          }}
          onClose={() => setOpen(false)}
        />
      )}
    </section>
  )
}
