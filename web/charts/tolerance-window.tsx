import { formatGrowth, type UnitSystem } from '../../core/format.js'
import type { AxisJob } from '../../core/state.js'
import { units } from '../preferences.js'
import { type AxisMark, axisMark, type Position, positionOn, type WindowScale, wallNumber } from './scale.js'
import './window.css'

const percent = (part: number): string => `${(part * 100).toFixed(3)}%`

/** A drawing of fixed size at a position that is a part of the whole: 16 × 16 around it, or beside it at the edges. */
const At = ({ position, y, d, name }: { position: Position; y: number; d: string; name: string }) => (
  <svg x={percent(position.at)} y={percent(y)} class="window-at" aria-hidden="true">
    <svg
      x={`${-0.5 - position.beyond / 2}em`}
      y="-0.5em"
      width="1em"
      height="1em"
      viewBox="-8 -8 16 16"
      class="window-at"
      aria-hidden="true"
    >
      <path class={name} d={d} />
    </svg>
  </svg>
)

const arrows = { 1: 'M-7 -7L7 0L-7 7z', '-1': 'M7 -7L-7 0L7 7z' } as const
const chevrons = { 1: 'M-3 -6L4 0L-3 6', '-1': 'M3 -6L-4 0L3 6' } as const
const ring = 'M-6 0a6 6 0 1 0 12 0a6 6 0 1 0 -12 0'

const AxisRow = ({ mark, row, rows }: { mark: AxisMark; row: number; rows: number }) => {
  const y = (row + 0.5) / rows
  const cap = 0.15 / rows
  const bar = 0.3 / rows
  const { now, from, to, low, high, inHour } = mark
  // off the same side as its mark, the ring has nothing to add
  const ringShown = inHour.beyond === 0 || inHour.beyond !== now.beyond
  const drawing = inHour.beyond === 0 ? { d: ring, name: 'ring' } : { d: chevrons[inHour.beyond], name: 'ring-beyond' }
  return (
    <g class={mark.outside ? 'axis-row is-outside' : 'axis-row'}>
      {ringShown && <At position={inHour} y={y} {...drawing} />}
      <line class="whisker" x1={percent(low.at)} x2={percent(high.at)} y1={percent(y)} y2={percent(y)} />
      <line class="run" x1={percent(from.at)} x2={percent(to.at)} y1={percent(y)} y2={percent(y)} />
      {[low, high].map(end =>
        end.beyond === 0 ? (
          <line class="whisker" x1={percent(end.at)} x2={percent(end.at)} y1={percent(y - cap)} y2={percent(y + cap)} />
        ) : null,
      )}
      {now.beyond === 0 ? (
        <line class="bar" x1={percent(now.at)} x2={percent(now.at)} y1={percent(y - bar)} y2={percent(y + bar)} />
      ) : (
        <At position={now} y={y} d={arrows[now.beyond]} name="bar-beyond" />
      )}
    </g>
  )
}

/** the picture in words, for those who do not see it */
const inWords = (axes: readonly AxisJob[], scale: WindowScale, system: UnitSystem): string => {
  if (axes.length === 0) return 'Tolerance window: no axis can be told.'
  const lines = axes.map(a => {
    const { outside } = axisMark(scale, a)
    const now = `${formatGrowth(a.error, system)} ± ${formatGrowth(a.uncertainty, system, 'plain')}`
    const run = `within the job ${formatGrowth(a.range.low, system)} to ${formatGrowth(a.range.high, system)}`
    return `${a.axis} ${now}, ${run}, ${outside ? 'outside' : 'inside'}, in an hour ${formatGrowth(a.errorInHour, system)}`
  })
  return `Tolerance window, heat may take ± ${formatGrowth(scale.grant, system, 'plain')}: ${lines.join('; ')}.`
}

interface Props {
  /** every axis of the machine, so that one that cannot be told keeps its row */
  names: readonly string[]
  axes: readonly AxisJob[]
  scale: WindowScale
}

/** The central picture: where heat puts each axis now, how sure that is, where it will be in an hour, to scale. */
export const ToleranceWindow = ({ names, axes, scale }: Props) => {
  const system = units.value
  const rows = names.map(name => axes.find(a => a.axis === name))
  const marks = rows.map(a => (a ? axisMark(scale, a) : undefined))
  const [left, right, shadeLeft, shadeRight, middle] = [-scale.half, scale.half, -scale.grant, scale.grant, 0].map(
    length => positionOn(scale, length).at,
  ) as [number, number, number, number, number]
  return (
    <div class="window" role="img" aria-label={inWords(axes, scale, system)} style={{ '--axes': names.length }}>
      <div class="window-names" aria-hidden="true">
        {names.map(name => (
          <span key={name}>{name}</span>
        ))}
      </div>
      <svg class="window-drawing" aria-hidden="true">
        <rect class="grant" x={percent(shadeLeft)} width={percent(shadeRight - shadeLeft)} y="0" height="100%" />
        <line class="nominal" x1={percent(middle)} x2={percent(middle)} y1="0" y2="100%" />
        <rect class="zone" x={percent(left)} width={percent(right - left)} y="0" height="100%" />
        {marks.map((mark, row) => mark && <AxisRow key={mark.axis} mark={mark} row={row} rows={names.length} />)}
      </svg>
      <div class="window-numbers" aria-hidden="true">
        {rows.map((a, row) => (
          <span key={names[row]} class={marks[row]?.outside ? 'is-outside' : ''}>
            {a ? wallNumber(a.error, system) : '—'}
          </span>
        ))}
      </div>
    </div>
  )
}
