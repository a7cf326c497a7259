import type { ComponentChildren } from 'preact'
import type { Scale, Zone } from '../../core/format.js'
import { across, bandOf, levelsIn, pathOf, wide } from '../morning/night-scales.js'
import { dashes, lineColours } from './line-styles.js'
import { timeTicks } from './ticks.js'
import './charts.css'
import './time-lanes.css'

// Pictures under each other on one axis of time: courses, what was open or ran, what was done. Everything in them stands
// in words or in a table beside them, so that they are one picture for those who do not see it.

/** The stretch of time that all lanes of a picture share. */
export interface Stretch {
  from: number
  to: number
  zone: Zone
}

/** A line of a lane. */
export interface LaneLine {
  name: string
  /** which of the line styles */
  style: number
  at: readonly number[]
  /** SI; null where not known */
  value: readonly (number | null)[]
  /** its band, SI */
  low?: readonly number[]
  high?: readonly number[]
}

/** Something at a moment and a value, SI; `shape`: an outline on a 16 by 16 square about its middle. */
export interface LanePoint {
  at: number
  y: number
  shape: string
  class?: string
  title?: string
}

const percent = (part: number): string => `${(100 * part).toFixed(3)}%`
const dash = (style: number) => dashes[style % dashes.length]!.join(' ')

const Drawing = ({ children }: { children: ComponentChildren }) => (
  <svg class="track-lines" viewBox={`0 0 ${wide} 100`} preserveAspectRatio="none" aria-hidden="true">
    {children}
  </svg>
)

const Hours = ({ stretch, moment }: { stretch: Stretch; moment?: number | undefined }) => (
  <>
    {timeTicks(stretch.from, stretch.to, stretch.zone, 8).map(({ value }) => (
      <path key={value} class="track-hour" d={`M${across(stretch, value).toFixed(1)} 0V100`} />
    ))}
    {moment !== undefined && <path class="track-moment" d={`M${across(stretch, moment).toFixed(1)} 0V100`} />}
  </>
)

/** An outline that keeps its shape wherever it stands; it stands in an svg without a view box. */
export const At = ({ x, y, d, name, title }: { x: number; y: number; d: string; name: string; title?: string }) => (
  <svg x={percent(x)} y={percent(y)} class="track-at" aria-hidden="true">
    <path class={name} d={d}>
      {title && <title>{title}</title>}
    </path>
  </svg>
)

/** The least and the most of all lines of a lane, so much of it at least, with room at the edges. SI */
export const laneRange = (
  lines: readonly Pick<LaneLine, 'value' | 'low' | 'high'>[],
  least: number,
  more: readonly number[] = [],
): { low: number; high: number } | null => {
  let [low, high] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY]
  const take = (value: number | null) => {
    if (value === null || !Number.isFinite(value)) return
    low = Math.min(low, value)
    high = Math.max(high, value)
  }
  for (const line of lines) for (const values of [line.value, line.low ?? [], line.high ?? []]) values.forEach(take)
  more.forEach(take)
  if (low > high) return null
  const missing = Math.max(0, least - (high - low)) / 2
  const edge = 0.07 * (high - low + 2 * missing)
  return { low: low - missing - edge, high: high + missing + edge }
}

interface CourseProps {
  stretch: Stretch
  name: ComponentChildren
  lines: readonly LaneLine[]
  range: { low: number; high: number } | null
  scale: Scale
  /** SI value of zero of the scale's unit, and of one: temperatures do not begin at zero */
  toSi: (amount: number) => number
  /** said where nothing is known */
  empty: string
  /** what stands behind each line's end, with its unit */
  ends?: readonly { name: string; style: number; y: number | null; text: string }[]
  points?: readonly LanePoint[]
  /** levels worth a line and a name, SI */
  limits?: readonly { at: number; text: string }[]
  shaded?: readonly { from: number; to: number }[]
  moment?: number | undefined
  form?: 'tall' | 'low'
}

/** Lines over time, with their levels at the left and what they came to at the right. */
export const CourseLane = (props: CourseProps) => {
  const { stretch, name, lines, range, scale, toSi, ends = [], points = [], limits = [], shaded = [] } = props
  const y = (si: number) => (range ? (100 * (range.high - si)) / (range.high - range.low) : 50)
  const levels = range ? levelsIn(scale.of(range.low), scale.of(range.high)) : []
  // the ends of two lines must not run into each other
  const apart = props.form === 'tall' ? 11 : props.form === 'low' ? 35 : 19
  const placed = ends.map(end => ({ ...end, top: end.y === null ? 50 : y(end.y) })).sort((a, b) => a.top - b.top)
  placed.forEach((end, k) => {
    end.top = Math.max(end.top, k === 0 ? apart / 2 : placed[k - 1]!.top + apart)
  })
  const over = (placed.at(-1)?.top ?? 0) - (100 - apart / 2)
  if (over > 0) for (const [k, end] of placed.entries()) end.top = Math.max(apart * (k + 0.5), end.top - over)
  return (
    <div class={`track is-course is-${props.form ?? 'usual'}`}>
      <div class="track-name">{name}</div>
      <div class="track-drawing">
        <div class="track-levels">
          {levels.map(level => (
            <span key={level} style={{ top: `${y(toSi(level))}%` }}>
              {Number(level.toPrecision(6)).toString().replace('-', '−')}
            </span>
          ))}
        </div>
        {range ? (
          <>
            <Drawing>
              {shaded.map(({ from, to }) => (
                <rect
                  key={from}
                  class="track-shade"
                  x={across(stretch, from)}
                  width={Math.max(1, across(stretch, to) - across(stretch, from))}
                  y="0"
                  height="100"
                />
              ))}
              {levels.map(level => (
                <path key={level} class="track-level" d={`M0 ${y(toSi(level)).toFixed(2)}H${wide}`} />
              ))}
              <Hours stretch={stretch} moment={props.moment} />
              {lines.map(
                ({ name: of, style, at, low, high }) =>
                  low &&
                  high && (
                    <path
                      key={of}
                      class={`track-band line-${style % lineColours}`}
                      d={bandOf({ at, low, high }, stretch, y)}
                    />
                  ),
              )}
              {limits.map(({ at }) => (
                <path key={at} class="track-limit" d={`M0 ${y(at).toFixed(2)}H${wide}`} />
              ))}
              {lines.map(({ name: of, style, at, value }) => (
                <path
                  key={of}
                  class={`track-line line-${style % lineColours}`}
                  stroke-dasharray={dash(style)}
                  d={pathOf({ at: [...at], value: [...value] }, stretch, y)}
                />
              ))}
            </Drawing>
            <svg class="track-points" aria-hidden="true">
              {points.map((point, i) => (
                <At
                  key={i}
                  x={across(stretch, point.at) / wide}
                  y={Math.min(100, Math.max(0, y(point.y))) / 100}
                  d={point.shape}
                  name={point.class ?? 'track-point'}
                  {...(point.title && { title: point.title })}
                />
              ))}
            </svg>
            {limits.map(({ at, text }) => (
              <span key={at} class="track-label" style={{ top: `${y(at)}%` }}>
                {text}
              </span>
            ))}
          </>
        ) : (
          <p class="empty">{props.empty}</p>
        )}
      </div>
      <div class="track-ends">
        {placed.map(end => (
          <span key={end.name} class={`line-${end.style % lineColours}`} style={{ top: `${end.top}%` }}>
            <svg viewBox="0 0 24 8" aria-hidden="true">
              <line x1="0" x2="24" y1="4" y2="4" stroke-dasharray={dash(end.style)} />
            </svg>
            <span>
              {end.name} <b>{end.text}</b>
            </span>
          </span>
        ))}
      </div>
    </div>
  )
}

interface SpanProps {
  stretch: Stretch
  name: ComponentChildren
  /** `height` 0..1 of the lane; all of it if not given */
  spans: readonly { from: number; to: number; class: string; title: string; height?: number }[]
  end: ComponentChildren
  moment?: number | undefined
}

/** What was so from when to when. */
export const SpanLane = ({ stretch, name, spans, end, moment }: SpanProps) => (
  <div class="track is-spans">
    <div class="track-name">{name}</div>
    <div class="track-drawing">
      <Drawing>
        <path class="track-level" d={`M0 100H${wide}`} />
        <Hours stretch={stretch} moment={moment} />
        {spans.map(({ from, to, class: look, title, height = 1 }) => (
          <rect
            key={`${from} ${look}`}
            class={look}
            x={across(stretch, from)}
            width={Math.max(2, across(stretch, to) - across(stretch, from))}
            y={100 * (1 - height)}
            height={100 * height}
          >
            <title>{title}</title>
          </rect>
        ))}
      </Drawing>
    </div>
    <div class="track-end">{end}</div>
  </div>
)

interface MarkProps {
  stretch: Stretch
  name: ComponentChildren
  marks: readonly { at: number; shape: string; title: string }[]
  end: ComponentChildren
  moment?: number | undefined
}

/** What happened at a moment. */
export const MarkLane = ({ stretch, name, marks, end, moment }: MarkProps) => (
  <div class="track is-marks">
    <div class="track-name">{name}</div>
    <div class="track-drawing">
      <Drawing>
        <Hours stretch={stretch} moment={moment} />
      </Drawing>
      <svg class="track-points" aria-hidden="true">
        {marks.map(({ at, shape, title }, i) => (
          <At key={i} x={across(stretch, at) / wide} y={0.5} d={shape} name="track-mark" title={title} />
        ))}
      </svg>
    </div>
    <div class="track-end">{end}</div>
  </div>
)

/** The times, below all lanes. */
const Times = ({ stretch }: { stretch: Stretch }) => (
  <div class="track is-times">
    <div />
    <div class="track-drawing">
      {timeTicks(stretch.from, stretch.to, stretch.zone, 6).map(({ value, label }) => (
        <span key={value} style={{ left: percent(across(stretch, value) / wide) }}>
          {label}
        </span>
      ))}
    </div>
    <div />
  </div>
)

/** Lanes under each other. @param label the picture in words */
export const TimeLanes = ({
  stretch,
  label,
  children,
}: {
  stretch: Stretch
  label: string
  children: ComponentChildren
}) => (
  <div class="tracks" role="img" aria-label={label}>
    {children}
    <Times stretch={stretch} />
  </div>
)
