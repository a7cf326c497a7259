import { formatGrowth, formatGrowthRate, formatLength, type UnitSystem } from '../../core/format.js'
import type { Axis } from '../../core/shop.js'
import type { AxisGrowth } from '../../core/state.js'
import { units } from '../preferences.js'

const width = 360
const height = 178
const left = 16
const right = 344
const top = 26
const bottom = 140

/** m; a drawing never spans less, or noise would look like growth */
const leastReach = 2e-6

/** the largest growth anywhere on the machine, so that all its axes are drawn to one scale. m */
export const growthReach = (growth: readonly AxisGrowth[]): number =>
  Math.max(leastReach, ...growth.flatMap(g => [g.atZero, g.atWork, g.atTravel].map(v => Math.abs(v ?? 0)))) * 1.15

const fixedPlace = ({ measuring, travel }: Axis, system: UnitSystem): string => {
  const what = measuring.kind === 'scale' ? 'scale fixed' : 'screw fixed'
  if (measuring.fixedAt < 0) return `${what} ${formatLength(-measuring.fixedAt, system)} before 0`
  if (measuring.fixedAt > travel) return `${what} ${formatLength(measuring.fixedAt - travel, system)} beyond the travel`
  return `${what} at ${formatLength(measuring.fixedAt, system)}`
}

interface Props {
  axis: Axis
  growth: AxisGrowth | undefined
  /** m */
  reach: number
}

/** Growth of one axis over its travel: a line, not one number. */
export const AlongTravel = ({ axis, growth, reach }: Props) => {
  const system = units.value
  const { atZero = null, atWork = null, atTravel = null } = growth ?? {}
  const x = (position: number) => left + ((right - left) * position) / axis.travel
  const y = (g: number) => (top + bottom) / 2 - ((bottom - top) / 2) * (g / reach)
  const known = atZero !== null && atWork !== null && atTravel !== null
  const { fixedAt } = axis.measuring
  const fixedX = Math.min(Math.max(x(fixedAt), left - 8), right + 8)
  const words = known
    ? `${axis.id}: ${formatGrowth(atZero, system)} at 0, ${formatGrowth(atWork, system)} where the work is held at ${formatLength(axis.workAt, system)}, ${formatGrowth(atTravel, system)} at ${formatLength(axis.travel, system)}`
    : `${axis.id}: growth cannot be told, a node it depends on is missing`
  const more = [
    ...(growth && growth.rate !== null ? [formatGrowthRate(growth.rate, system)] : []),
    ...(growth && growth.sinceDatum !== null ? [`${formatGrowth(growth.sinceDatum, system)} since the datum`] : []),
  ]
  return (
    <figure class="along">
      <figcaption>
        <strong>{axis.id}</strong>
        <span class="along-value">{formatGrowth(atWork, system)}</span>
        <span class="quiet">at the work</span>
        <span class="quiet along-more">{more.join(', ')}</span>
      </figcaption>
      <svg viewBox={`0 0 ${width} ${height}`} role="img" aria-label={words}>
        <line class="along-zero" x1={left} x2={right} y1={y(0)} y2={y(0)} />
        <line class="along-work" x1={x(axis.workAt)} x2={x(axis.workAt)} y1={top - 6} y2={bottom + 6} />
        <path class="along-fixed" d={`M${fixedX} ${y(0)}l-6 11h12z`} />
        {known && (
          <>
            <line class="along-growth" x1={x(0)} y1={y(atZero)} x2={x(axis.travel)} y2={y(atTravel)} />
            <rect class="along-mark" x={x(axis.workAt) - 4} y={y(atWork) - 9} width="8" height="18" rx="1" />
            <text class="along-end" x={left + 2} y={y(atZero) + (atZero < atTravel ? 18 : -8)}>
              {formatGrowth(atZero, system)}
            </text>
            <text class="along-end" x={right} y={y(atTravel) + (atTravel < atZero ? 18 : -8)} text-anchor="end">
              {formatGrowth(atTravel, system)}
            </text>
          </>
        )}
        <text class="along-place" x={left} y={height - 8}>
          0
        </text>
        <text class="along-place" x={x(axis.workAt)} y={height - 22} text-anchor="middle">
          work at {formatLength(axis.workAt, system)}
        </text>
        <text class="along-place" x={right} y={height - 8} text-anchor="end">
          {formatLength(axis.travel, system)}
        </text>
      </svg>
      <p class="quiet">{fixedPlace(axis, system)}</p>
    </figure>
  )
}
