import type { Scale } from '../../core/format.js'
import { across, bandOf, levelsIn, pathOf, toSi, wide } from './drawing.js'
import { lineColour } from './line-styles.js'
import { At, Drawing, dash, Hours, type Stretch } from './time-lanes.js'

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
interface LanePoint {
  at: number
  y: number
  shape: string
  class?: string
  title?: string
}

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
  name: string
  /** its unit, and whatever else is to be known of it */
  note?: string | undefined
  lines: readonly LaneLine[]
  range: { low: number; high: number } | null
  scale: Scale
  /** said where nothing is known */
  empty: string
  /** what stands behind each line's end, with its unit */
  ends?: readonly { name: string; style: number; y: number | null; text: string }[]
  points?: readonly LanePoint[]
  /** levels worth a line and a name, SI */
  limits?: readonly { at: number; text: string }[]
  shaded?: readonly { from: number; to: number }[]
  moment?: number | undefined
  form?: 'tall' | 'low' | undefined
}

/** Lines over time, with their levels at the left and what they came to at the right. */
export const CourseLane = (props: CourseProps) => {
  const { stretch, name, lines, range, scale, ends = [], points = [], limits = [], shaded = [] } = props
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
      <div class="track-name">
        {name} <small>{props.note}</small>
      </div>
      <div class="track-drawing">
        <div class="track-levels">
          {levels.map(level => (
            <span key={level} style={{ top: `${y(toSi(scale, level))}%` }}>
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
                <path key={level} class="track-level" d={`M0 ${y(toSi(scale, level)).toFixed(2)}H${wide}`} />
              ))}
              <Hours stretch={stretch} moment={props.moment} />
              {lines.map(
                ({ name: of, style, at, low, high }) =>
                  low &&
                  high && (
                    <path
                      key={of}
                      class="track-band"
                      style={lineColour(style)}
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
                  class="track-line"
                  style={lineColour(style)}
                  stroke-dasharray={dash(style)}
                  d={pathOf({ at, value }, stretch, y)}
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
          <span key={end.name} style={{ ...lineColour(end.style), top: `${end.top}%` }}>
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
