import type { ComponentChildren } from 'preact'
import type { Zone } from '../../core/format.js'
import { across, wide } from './drawing.js'
import { dashes } from './line-styles.js'
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

const percent = (part: number): string => `${(100 * part).toFixed(3)}%`
export const dash = (style: number) => dashes[style % dashes.length]!.join(' ')

export const Drawing = ({ children }: { children: ComponentChildren }) => (
  <svg class="track-lines" viewBox={`0 0 ${wide} 100`} preserveAspectRatio="none" aria-hidden="true">
    {children}
  </svg>
)

export const Hours = ({ stretch, moment }: { stretch: Stretch; moment?: number | undefined }) => (
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

export interface SpanProps {
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
  <div class="track">
    <div />
    <div class="track-drawing time-labels">
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
  <div class="stack tracks" role="img" aria-label={label}>
    {children}
    <Times stretch={stretch} />
  </div>
)
