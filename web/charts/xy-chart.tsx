import { Chart, type ChartDataset, type ChartOptions, type Point, ScatterController } from 'chart.js'
import { useEffect, useRef } from 'preact/hooks'
import type { Scale } from '../../core/format.js'
import { isDark } from '../preferences.js'
import {
  annotations,
  chartInset,
  colours,
  datasets,
  inUnit,
  type Line,
  type Marks,
  tickDecimals,
} from './time-chart.js'
import './charts.css'

Chart.register(ScatterController)

/** Single values in a chart: each as a shape of its own. */
export interface Dots {
  name: string
  style: number
  /** crossed out: they count for nothing */
  crossed: boolean
  points: readonly { at: number; value: number }[]
}

interface Props {
  label: string
  /** `at` is the quantity across, SI */
  lines: readonly Line[]
  dots: readonly Dots[]
  marks: Marks
  from: number
  to: number
  /** the quantity across */
  across: Scale
  scale: Scale
  decimals: number
}

const shapes = ['circle', 'rect', 'triangle', 'rectRot'] as const

/** Lines and single values over a quantity that is no time of the shop's: minutes of a test, speeds. */
export const XyChart = (props: Props) => {
  const canvas = useRef<HTMLCanvasElement>(null)
  const chart = useRef<Chart<'line', Point[]> | null>(null)
  const { label, lines, dots, marks, from, to, across, scale, decimals } = props
  const dark = isDark.value

  useEffect(() => {
    if (!canvas.current) return
    const colour = colours()
    const look = { grid: { color: colour('rule') }, border: { color: colour('edge') } }
    const tick = { color: colour('quiet'), font: { size: 13 } }
    const inAcross = (at: number) => across.of(at)
    const shown = datasets(lines, scale, colour).map(set => ({
      ...set,
      data: set.data.map(({ x, y }) => ({ x: inAcross(x ?? Number.NaN), y })),
    }))
    const single = dots.map((each): ChartDataset<'line', Point[]> => {
      const own = colour(each.crossed ? 'ink' : `line-${each.style}`)
      return {
        label: each.name,
        data: each.points.map(({ at, value }) => ({ x: inAcross(at), y: scale.of(value) })),
        showLine: false,
        // px beyond the chart's edge, so that a value on it is seen whole
        clip: 8,
        pointStyle: each.crossed ? 'crossRot' : shapes[each.style % shapes.length]!,
        pointRadius: each.crossed ? 6 : 4,
        pointBorderWidth: each.crossed ? 2 : 1.5,
        pointBorderColor: own,
        pointBackgroundColor: colour('panel'),
        pointHitRadius: 8,
        borderColor: own,
      }
    })
    const options: ChartOptions<'line'> = {
      animation: false,
      parsing: false,
      normalized: true,
      responsive: true,
      maintainAspectRatio: false,
      interaction: { mode: 'nearest', axis: 'xy', intersect: false },
      scales: {
        x: {
          ...look,
          type: 'linear',
          min: inAcross(from),
          max: inAcross(to),
          title: { display: true, text: across.unit, color: colour('quiet'), align: 'end' },
          ticks: {
            ...tick,
            maxRotation: 0,
            includeBounds: false,
            callback: value => Number(value).toLocaleString('en-US').replaceAll(',', '\u202f'),
          },
        },
        y: {
          ...look,
          // room for what is written beside marks
          grace: marks.moments.length > 0 ? '10%' : 0,
          afterFit: axis => {
            axis.width = chartInset
          },
          ticks: { ...tick, callback: (value, _i, ticks) => inUnit(Number(value), tickDecimals(ticks), scale.unit) },
        },
      },
      plugins: {
        annotation: {
          annotations: annotations(
            {
              level: marks.level,
              moments: marks.moments.map(each => ({ ...each, at: inAcross(each.at) })),
              stretches: (marks.stretches ?? []).map(each => ({
                ...each,
                from: inAcross(each.from),
                to: inAcross(each.to),
              })),
            },
            scale,
            colour,
          ),
        },
        tooltip: {
          displayColors: false,
          backgroundColor: colour('ink'),
          titleColor: colour('panel'),
          bodyColor: colour('panel'),
          titleFont: { size: 13 },
          bodyFont: { size: 14 },
          filter: item => item.dataset.label !== '',
          callbacks: {
            title: items => (items[0] ? inUnit(items[0].parsed.x ?? Number.NaN, 1, across.unit) : ''),
            label: item => `${item.dataset.label}: ${inUnit(item.parsed.y ?? Number.NaN, decimals, scale.unit)}`,
          },
        },
      },
    }
    const data = { datasets: [...single, ...shown] }
    if (!chart.current) {
      chart.current = new Chart<'line', Point[]>(canvas.current, { type: 'line', data, options })
      return
    }
    chart.current.data = data
    chart.current.options = options
    chart.current.update('none')
  }, [lines, dots, marks, from, to, across, scale, decimals, dark])

  useEffect(
    () => () => {
      chart.current?.destroy()
      chart.current = null
    },
    [],
  )

  return (
    <div class="chart">
      <canvas ref={canvas} role="img" aria-label={label} />
    </div>
  )
}
