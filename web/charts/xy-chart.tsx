import { Chart, type ChartDataset, type Point, ScatterController } from 'chart.js'
import type { Scale } from '../../core/format.js'
import { annotations, ChartCanvas, chartOptions, datasets, inUnit, type Line, type Marks } from './time-chart.js'
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
export const XyChart = ({ label, lines, dots, marks, from, to, across, scale, decimals }: Props) => {
  const inAcross = (at: number) => across.of(at)
  return (
    <ChartCanvas
      label={label}
      of={[lines, dots, marks, from, to, across, scale, decimals]}
      draw={colour => {
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
        const placed = {
          level: marks.level,
          moments: marks.moments.map(each => ({ ...each, at: inAcross(each.at) })),
          stretches: (marks.stretches ?? []).map(each => ({
            ...each,
            from: inAcross(each.from),
            to: inAcross(each.to),
          })),
        }
        const options = chartOptions(
          colour,
          { decimals, unit: scale.unit },
          annotations(placed, scale, colour),
          {
            axis: {
              min: inAcross(from),
              max: inAcross(to),
              title: { display: true, text: across.unit, color: colour('quiet'), align: 'end' },
              ticks: {
                includeBounds: false,
                callback: value => Number(value).toLocaleString('en-US').replaceAll(',', '\u202f'),
              },
            },
            says: x => inUnit(x, 1, across.unit),
          },
          // room for what is written beside marks
          marks.moments.length > 0 ? '10%' : 0,
        )
        return { datasets: [...single, ...shown], options }
      }}
    />
  )
}
