import { useMemo } from 'preact/hooks'
import { formatDuration, type Zone } from '../../core/format.js'
import type { Machine } from '../../core/shop.js'
import { highest, lowest } from '../../core/statistics/spread.js'
import type { EnvironmentAnswer } from '../../server/http/schemas/measured.js'
import { asCsv, machinePath } from '../api.js'
import { LineChart } from '../charts/line-chart.js'
import type { LinePoint } from '../charts/lines.js'
import type { Line, Marks } from '../charts/time-chart.js'

/** Values on an even grid as a line; a mean over an interval belongs to its middle. */
const gridLine = (at: readonly number[], values: readonly (number | null)[], interval: number): LinePoint[] =>
  at.map((t, i) => ({ at: t + interval / 2, value: values[i] ?? Number.NaN }))

interface Props {
  machine: Machine
  answer: EnvironmentAnswer
  /** the axis whose worst window is marked */
  axis: string
  zone: Zone
}

/** Growth and air over the period, one above the other, with the worst window of an axis marked in both. */
export const Courses = ({ machine, answer, axis, zone }: Props) => {
  const { at, interval, axes, airTemperature, air, window, from, to } = answer
  const growth = useMemo<Line[]>(
    () =>
      axes.map((a, style) => ({
        id: a.axis,
        name: `${a.axis} at the work`,
        style,
        points: gridLine(at, a.growth, interval),
        banded: false,
      })),
    [answer],
  )
  const airLine = useMemo<Line[]>(
    () =>
      air === ''
        ? []
        : [{ id: 'air', name: air, style: 4, points: gridLine(at, airTemperature, interval), banded: false }],
    [answer],
  )
  const worst = axes.find(a => a.axis === axis)?.worst
  const marks = useMemo<Marks>(
    () => ({
      level: null,
      moments: [],
      stretches: worst
        ? [{ from: worst.from, to: worst.to + interval, text: `${axis}: worst ${formatDuration(window)}` }]
        : [],
    }),
    [worst, axis, window, interval],
  )
  const known = airTemperature.filter(t => t !== null)
  const swing = highest(known) - lowest(known)
  const common = {
    marks,
    range: { from, to },
    zone,
    csv: asCsv(machinePath(machine.id, 'environment', { from, to, window })),
  }
  const nothing = axes.every(a => a.growth.every(v => v === null))
  return (
    <>
      <LineChart
        {...common}
        id="growth-at-rest"
        title="Growth by axis"
        about={`Growth of the axes of ${machine.name} at rest`}
        hint={`Means of ${formatDuration(interval / 1000)}. The shaded stretch is the window in which ${axis} changed most.`}
        empty={nothing ? 'Growth cannot be told in this period: a node it depends on has no readings.' : ''}
        lines={growth}
        of="growth"
      />
      <LineChart
        {...common}
        id="air-at-rest"
        title="Air"
        about={`Air at ${machine.name}`}
        empty={airLine.length === 0 ? 'The shop file gives this machine no air node.' : ''}
        lines={airLine}
        of="temperature"
        decimals={swing < 2 ? 2 : 1}
      />
    </>
  )
}
