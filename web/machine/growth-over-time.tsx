import { useMemo } from 'preact/hooks'
import { formatGrowth, formatTemperature } from '../../core/format.js'
import type { Machine, Shop } from '../../core/shop.js'
import type { Datum } from '../../core/state.js'
import { useAnswer } from '../answer.js'
import { fetchGrowth, growthPath } from '../api.js'
import { LineChart } from '../charts/line-chart.js'
import { growthLine, replacedHint } from '../charts/lines.js'
import { wallScale } from '../charts/scale.js'
import { chartPoints, refreshEvery, type Span, spanAt } from '../charts/span.js'
import type { Line } from '../charts/time-chart.js'
import { units } from '../preferences.js'
import { atTheWork } from '../words.js'

interface Props {
  shop: Shop
  machine: Machine
  span: Span
  now: number
  datum: Datum | null
}

/** Growth of every axis over the span, computed by the service from the stored readings. */
export const GrowthOverTime = ({ shop, machine, span, now, datum }: Props) => {
  const { value, problem } = useAnswer(
    async signal => {
      const range = spanAt(span, now)
      return { range, axes: (await fetchGrowth(machine.id, { ...range, points: chartPoints }, signal)).axes }
    },
    JSON.stringify([machine.id, span]),
    refreshEvery(span),
  )
  const lines = useMemo<Line[]>(
    () =>
      value?.axes.map((series, style) => ({
        id: series.axis,
        name: atTheWork(machine, series.axis),
        style,
        points: growthLine(series),
        banded: true,
      })) ?? [],
    [value, machine],
  )
  const marks = useMemo(
    () => ({ level: { at: 0, text: 'no growth' }, moments: datum ? [{ at: datum.at, text: 'datum' }] : [] }),
    [datum],
  )
  const replaced = value?.axes.filter(({ points }) => points.some(p => p.standIn)).map(({ axis }) => axis) ?? []
  const system = units.value
  const range = value?.range ?? spanAt(span, now)
  return (
    <LineChart
      id="growth-over-time"
      title="Growth by axis"
      about={`Growth of the axes of ${machine.name}`}
      hint={`Against ${formatTemperature(shop.referenceTemperature, system, 0)}. Bands run over the whole travel.${replacedHint(replaced)}`}
      csv={growthPath(machine.id, { ...range, points: chartPoints }, 'csv')}
      problem={problem}
      empty={
        value && lines.every(l => l.points.length === 0)
          ? 'Growth cannot be told in this span: a node it depends on has no readings.'
          : ''
      }
      lines={lines}
      marks={marks}
      range={range}
      zone={shop}
      scale={wallScale[system]}
      system={system}
      machine={machine.id}
      format={formatGrowth}
    />
  )
}
