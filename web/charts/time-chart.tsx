import {
  Chart,
  type ChartDataset,
  type ChartOptions,
  Filler,
  LinearScale,
  LineController,
  LineElement,
  type Point,
  PointElement,
  Tooltip,
} from 'chart.js'
import annotation, { type AnnotationOptions, type LabelPosition } from 'chartjs-plugin-annotation'
import { useEffect, useRef } from 'preact/hooks'
import { formatDateTime, type Scale, type Zone } from '../../core/format.js'
import { isDark } from '../preferences.js'
import { dashes, lineColours } from './line-styles.js'
import type { LinePoint } from './lines.js'
import { timeTicks } from './ticks.js'

Chart.register(LineController, LineElement, PointElement, LinearScale, Filler, Tooltip, annotation)

export interface Line {
  id: string
  name: string
  /** which of the line styles, see line-styles.ts */
  style: number
  points: readonly LinePoint[]
  /** draws low to high as a band */
  banded: boolean
}

export interface Marks {
  /** a level worth seeing, SI; its name stands over the end that matters less, the first if not given */
  level: { at: number; text: string; named?: 'start' | 'end' } | null
  /** moments worth seeing, ms */
  moments: readonly { at: number; text: string }[]
  /** stretches of time worth seeing, ms */
  stretches?: readonly { from: number; to: number; text: string }[]
}

interface Props {
  label: string
  lines: readonly Line[]
  marks: Marks
  from: number
  to: number
  zone: Zone
  scale: Scale
  decimals: number
  /** a moment was clicked at, ms */
  onMoment?: (moment: number) => void
}

/** px; the same for every chart of a page, so that their times are in line */
const chartInset = 68

/** Colours by their names, as the page has them now: a canvas knows no variables. */
const colours = (): Colour => {
  const probe = document.createElement('i')
  document.body.append(probe)
  const style = getComputedStyle(probe)
  const known = new Map<string, string>()
  const ask = (name: string) => {
    probe.style.color = `var(--${name})`
    return style.color
  }
  for (const name of ['ink', 'quiet', 'rule', 'edge', 'panel']) known.set(name, ask(name))
  for (let i = 0; i < lineColours; i++) known.set(`line-${i}`, ask(`line-${i}`))
  probe.remove()
  return name => known.get(name) ?? 'gray'
}

const faint = (colour: string): string => colour.replace(/^rgb\((.*)\)$/, 'rgba($1, 0.2)')

type Colour = (name: string) => string

export const datasets = (lines: readonly Line[], { of }: Scale, colour: Colour): ChartDataset<'line', Point[]>[] =>
  lines.flatMap(line => {
    const own = colour(`line-${line.style % lineColours}`)
    const points = (pick: (p: LinePoint) => number) => line.points.map(p => ({ x: p.at, y: of(pick(p)) }))
    const edge = { borderWidth: 0, pointRadius: 0, pointHitRadius: 0, label: '' }
    const main: ChartDataset<'line', Point[]> = {
      label: line.name,
      data: points(p => p.value),
      borderColor: own,
      backgroundColor: own,
      borderWidth: 2,
      borderDash: [...dashes[line.style % dashes.length]!],
      pointRadius: 0,
      pointHitRadius: 6,
    }
    if (!line.banded) return [main]
    return [
      main,
      { ...edge, data: points(p => p.low ?? p.value), fill: false },
      { ...edge, data: points(p => p.high ?? p.value), fill: '-1', backgroundColor: faint(own) },
    ]
  })

const sideWithin = ({ min, max }: { min: number; max: number }, at: number): LabelPosition => {
  const along = (at - min) / (max - min)
  return along < 0.2 ? 'start' : along > 0.8 ? 'end' : 'center'
}

export const annotations = (
  { level, moments, stretches = [] }: Marks,
  { of }: Scale,
  colour: Colour,
): Record<string, AnnotationOptions> => {
  const line = (content: string, position: 'start' | 'end') => ({
    type: 'line' as const,
    borderColor: colour('edge'),
    borderWidth: 1.5,
    label: {
      display: true,
      content,
      position,
      backgroundColor: colour('panel'),
      color: colour('quiet'),
      font: { size: 12, weight: 'normal' as const },
      padding: 3,
    },
  })
  const marks: Record<string, AnnotationOptions> = {}
  stretches.forEach(({ from, to, text }, i) => {
    marks[`stretch${i}`] = {
      type: 'box',
      xMin: from,
      xMax: to,
      backgroundColor: faint(colour('edge')),
      borderColor: colour('edge'),
      borderWidth: 1,
      drawTime: 'beforeDatasetsDraw',
      label: {
        display: text !== '',
        content: text,
        // beside the edge it keeps to the inside of what it names, so that no letter is cut off
        position: ({ chart }) => ({ x: sideWithin(chart.scales.x!, (from + to) / 2), y: 'start' }),
        color: colour('ink'),
        font: { size: 12, weight: 'normal' },
      },
    }
  })
  if (level) marks.level = { ...line(level.text, level.named ?? 'start'), yMin: of(level.at), yMax: of(level.at) }
  moments.forEach(({ at, text }, i) => {
    marks[`moment${i}`] = { ...line(text, 'end'), xMin: at, xMax: at, borderDash: [3, 3] }
  })
  return marks
}

/** a number that is in its unit already, for ticks and tooltips */
export const inUnit = (amount: number, decimals: number, unit: string): string =>
  `${amount.toFixed(decimals).replace('-', '−')} ${unit}`

/** as many decimals as tell one tick from the next */
const tickDecimals = (ticks: readonly { value: number }[]): number => {
  const step = Math.abs((ticks[1]?.value ?? 0) - (ticks[0]?.value ?? 0))
  for (let decimals = 0; decimals < 6; decimals++) {
    const scaled = step * 10 ** decimals
    if (scaled > 0.5 && Math.abs(scaled - Math.round(scaled)) < 1e-6) return decimals
  }
  return 6
}

/** px; what a time on the axis takes with the room around it */
const tickRoom = 96

type Across = Extract<NonNullable<ChartOptions<'line'>['scales']>[string], { type?: 'linear' | undefined }>

/** Options that all charts share. @param across what is special about the axis across, and what a tooltip says of it */
export const chartOptions = (
  colour: Colour,
  { decimals, unit }: { decimals: number; unit: string },
  marks: Record<string, AnnotationOptions>,
  across: { axis: Across; says: (x: number) => string },
  grace: string | number = 0,
): ChartOptions<'line'> => {
  const look = { grid: { color: colour('rule') }, border: { color: colour('edge') } }
  const tick = { color: colour('quiet'), font: { size: 13 } }
  return {
    animation: false,
    parsing: false,
    normalized: true,
    responsive: true,
    maintainAspectRatio: false,
    interaction: { mode: 'nearest', axis: 'xy', intersect: false },
    scales: {
      x: { ...look, type: 'linear', ...across.axis, ticks: { ...tick, maxRotation: 0, ...across.axis.ticks } },
      y: {
        ...look,
        grace,
        afterFit: axis => {
          axis.width = chartInset
        },
        ticks: { ...tick, callback: (value, _i, ticks) => inUnit(Number(value), tickDecimals(ticks), unit) },
      },
    },
    plugins: {
      annotation: { annotations: marks },
      tooltip: {
        displayColors: false,
        backgroundColor: colour('ink'),
        titleColor: colour('panel'),
        bodyColor: colour('panel'),
        titleFont: { size: 13 },
        bodyFont: { size: 14 },
        filter: item => item.dataset.label !== '',
        callbacks: {
          title: items => (items[0] ? across.says(items[0].parsed.x ?? Number.NaN) : ''),
          label: item => `${item.dataset.label}: ${inUnit(item.parsed.y ?? Number.NaN, decimals, unit)}`,
        },
      },
    },
  }
}

interface Drawing {
  label: string
  isWay?: boolean
  draw: (colour: Colour) => { datasets: ChartDataset<'line', Point[]>[]; options: ChartOptions<'line'> }
  /** what it is drawn of: where one of these changes, it is drawn anew */
  of: readonly unknown[]
}

/** The canvas that a chart stands on. */
export const ChartCanvas = ({ label, isWay, draw, of }: Drawing) => {
  const canvas = useRef<HTMLCanvasElement>(null)
  const chart = useRef<Chart<'line', Point[]> | null>(null)
  const dark = isDark.value
  useEffect(() => {
    if (!canvas.current) return
    const { options, ...data } = draw(colours())
    if (!chart.current) {
      chart.current = new Chart<'line', Point[]>(canvas.current, { type: 'line', data, options })
      return
    }
    chart.current.data = data
    chart.current.options = options
    chart.current.update('none')
  }, [...of, dark])
  useEffect(
    () => () => {
      chart.current?.destroy()
      chart.current = null
    },
    [],
  )
  return (
    <div class={isWay ? 'chart is-way' : 'chart'}>
      <canvas ref={canvas} role="img" aria-label={label} />
    </div>
  )
}

/** Lines over time, in the shop's zone. */
export const TimeChart = ({ label, lines, marks, from, to, zone, scale, decimals, onMoment }: Props) => {
  const draw: Drawing['draw'] = colour => ({
    datasets: datasets(lines, scale, colour),
    options: {
      ...chartOptions(colour, { decimals: decimals + 1, unit: scale.unit }, annotations(marks, scale, colour), {
        axis: {
          min: from,
          max: to,
          afterBuildTicks: axis => {
            axis.ticks = timeTicks(from, to, zone, Math.max(2, axis.width / tickRoom))
          },
          ticks: {
            autoSkip: false,
            callback: (_value, index, ticks) => ticks[index]?.label ?? '',
          },
        },
        says: at => formatDateTime(at, zone),
      }),
      ...(onMoment && {
        onClick: ({ x }, _near, chart) => {
          const moment = x === null ? undefined : chart.scales.x?.getValueForPixel(x)
          if (moment !== undefined && moment >= from && moment <= to) onMoment(moment)
        },
      }),
    },
  })
  return (
    <ChartCanvas
      label={label}
      isWay={onMoment !== undefined}
      draw={draw}
      of={[lines, marks, from, to, zone, scale, decimals]}
    />
  )
}
