import { useMemo } from 'preact/hooks'
import { formatGrowth, formatTemperature } from '../../core/format.js'
import type { Machine, Shop } from '../../core/shop.js'
import type { Datum } from '../../core/state.js'
import type { GrowthSeries } from '../../server/http/schemas/answers.js'
import { growthPath, type Range } from '../api.js'
import { LineChart } from '../charts/line-chart.js'
import { growthLine, replacedHint } from '../charts/lines.js'
import { useOverSpan } from '../charts/over-span.js'
import { wallScale } from '../charts/scale.js'
import type { Span } from '../charts/span.js'
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
  const address = (range: Range, format?: 'csv') => growthPath(machine.id, range, format)
  const { value, range, problem } = useOverSpan<{ axes: GrowthSeries[] }>(address, span, now)
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
  return (
    <LineChart
      id="growth-over-time"
      title="Growth by axis"
      about={`Growth of the axes of ${machine.name}`}
      hint={`Against ${formatTemperature(shop.referenceTemperature, system, 0)}. Bands run over the whole travel.${replacedHint(replaced)}`}
      csv={address(range, 'csv')}
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
      machine={machine.id}
      format={formatGrowth}
    />
  )
}
