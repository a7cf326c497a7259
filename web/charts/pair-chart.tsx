import type { ComponentChildren } from 'preact'
import type { Scale } from '../../core/format.js'
import { levelsIn, toSi } from './drawing.js'
import { dashes } from './line-styles.js'
import { At } from './time-lanes.js'
import './pair-chart.css'

/** One direction of a chart, SI. */
interface Axis {
  low: number
  high: number
  scale: Scale
  name: string
}

interface PairLine {
  points: readonly (readonly [x: number, y: number])[]
  class: string
  style?: number
  /** said beside its end, or where it leaves the drawing */
  text?: string
}

interface Props {
  /** the picture in words */
  label: string
  x: Axis
  y: Axis
  lines?: readonly PairLine[]
  bands?: readonly (readonly (readonly [x: number, low: number, high: number])[])[]
  points?: readonly { x: number; y: number; shape: string; class?: string; title?: string }[]
  /** with whiskers, and what stands beside them */
  bars?: readonly { x: number; y: number; low: number; high: number; text?: string }[]
  /** levels and places worth a line and a name */
  levels?: readonly { y: number; text: string }[]
  places?: readonly { x: number; text: string }[]
  children?: ComponentChildren
}

const percent = (part: number) => `${(100 * part).toFixed(2)}%`
const number = (amount: number) => Number(amount.toPrecision(6)).toString().replace('-', '−')

/** steps for shares, which are finer than those of lengths */
const shareSteps = [0, 0.25, 0.5, 0.75, 1]

const ticksOf = ({ low, high, scale }: Axis): { si: number; text: string }[] =>
  (scale.unit === '%' ? shareSteps.map(each => each * 100) : levelsIn(scale.of(low), scale.of(high), 7)).map(
    amount => ({ si: toSi(scale, amount), text: number(amount) }),
  )

/** Something over something else, both numbers. */
export const PairChart = ({
  label,
  x,
  y,
  lines = [],
  bands = [],
  points = [],
  bars = [],
  levels = [],
  places = [],
  children,
}: Props) => {
  const across = (value: number) => (value - x.low) / (x.high - x.low)
  const down = (value: number) => (y.high - value) / (y.high - y.low)
  const path = (all: readonly (readonly [number, number])[]) =>
    all
      .map(([px, py], i) => `${i === 0 ? 'M' : 'L'}${(1000 * across(px)).toFixed(1)} ${(1000 * down(py)).toFixed(1)}`)
      .join('')
  return (
    <figure class="stack pair" role="img" aria-label={label}>
      <div class="pair-y">
        {y.name} ({y.scale.unit})
      </div>
      <div class="pair-drawing">
        <svg viewBox="0 0 1000 1000" preserveAspectRatio="none" aria-hidden="true" class="pair-lines">
          {ticksOf(y).map(({ si }) => (
            <path key={si} class="track-level" d={`M0 ${(1000 * down(si)).toFixed(1)}H1000`} />
          ))}
          {ticksOf(x).map(({ si }) => (
            <path key={si} class="track-level" d={`M${(1000 * across(si)).toFixed(1)} 0V1000`} />
          ))}
          {bands.map((band, i) => (
            <path
              key={i}
              class="pair-band"
              d={`${path([...band.map(([at, , high]) => [at, high] as const), ...[...band].reverse().map(([at, low]) => [at, low] as const)])}z`}
            />
          ))}
          {levels.map(level => (
            <path key={level.text} class="pair-level" d={`M0 ${(1000 * down(level.y)).toFixed(1)}H1000`} />
          ))}
          {places.map(place => (
            <path key={place.text} class="pair-place" d={`M${(1000 * across(place.x)).toFixed(1)} 0V1000`} />
          ))}
          {lines.map((line, i) => (
            <path
              key={i}
              class={line.class}
              stroke-dasharray={dashes[(line.style ?? 0) % dashes.length]!.join(' ')}
              d={path(line.points)}
            />
          ))}
          {bars.map(({ x: at, low, high }) => (
            <path
              key={at}
              class="pair-whisker"
              d={`M${(1000 * across(at)).toFixed(1)} ${(1000 * down(low)).toFixed(1)}V${(1000 * down(high)).toFixed(1)}`}
            />
          ))}
        </svg>
        <svg class="pair-points track-points" aria-hidden="true">
          {bars.map(bar => (
            <At key={bar.x} x={across(bar.x)} y={down(bar.y)} d="M-4 -4H4V4H-4z" name="track-point" />
          ))}
          {points.map((point, i) => (
            <At
              key={i}
              x={across(point.x)}
              y={down(point.y)}
              d={point.shape}
              name={point.class ?? 'track-point'}
              {...(point.title && { title: point.title })}
            />
          ))}
        </svg>
        {ticksOf(y).map(({ si, text }) => (
          <span key={si} class="pair-tick-y" style={{ top: percent(down(si)) }}>
            {text}
          </span>
        ))}
        {ticksOf(x).map(({ si, text }) => (
          <span key={si} class="pair-tick-x" style={{ left: percent(across(si)) }}>
            {text}
          </span>
        ))}
        {levels.map(level => (
          <span key={level.text} class="track-label is-start" style={{ top: percent(down(level.y)) }}>
            {level.text}
          </span>
        ))}
        {places.map(place => (
          <span
            key={place.text}
            class={across(place.x) > 0.6 ? 'pair-place-name is-before' : 'pair-place-name'}
            style={{ left: percent(across(place.x)) }}
          >
            {place.text}
          </span>
        ))}
        {bars.map(
          (bar, i) =>
            bar.text && (
              <span
                key={bar.x}
                class={`pair-beside ${across(bar.x) > 0.8 ? 'is-before' : ''}`}
                // what stands close to its neighbour stands higher
                style={{ left: percent(across(bar.x)), top: `calc(${percent(down(bar.y))} - ${i % 2} * 1.3em)` }}
              >
                {bar.text}
              </span>
            ),
        )}
      </div>
      <div class="pair-x">
        {x.name} ({x.scale.unit})
      </div>
      {children}
    </figure>
  )
}
