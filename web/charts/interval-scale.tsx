import type { ToldFigure } from '../../core/investigation/index.js'
import './interval-scale.css'

interface Props {
  figure: ToldFigure
  low: number
  high: number
  /** worth a line, with its name */
  marks: readonly { at: number; text: string }[]
}

const percent = (part: number) => `${(100 * Math.min(1, Math.max(0, part))).toFixed(2)}%`

/** A figure and its interval on a scale; what lies beyond it ends at its edge. It stands in words beside it. */
export const IntervalScale = ({ figure, low, high, marks }: Props) => {
  const part = (value: number) => (value - low) / (high - low)
  const from = part(figure.low ?? low)
  const to = part(figure.high ?? high)
  return (
    <div class="interval" aria-hidden="true">
      <svg aria-hidden="true">
        <line class="interval-axis" x1="0" x2="100%" y1="50%" y2="50%" />
        {marks.map(({ at }) => (
          <line key={at} class="interval-mark" x1={percent(part(at))} x2={percent(part(at))} y1="20%" y2="80%" />
        ))}
        <rect
          class="interval-range"
          x={percent(from)}
          width={percent(Math.min(1, Math.max(0, to)) - Math.min(1, Math.max(0, from)))}
          y="30%"
          height="40%"
        />
        <line
          class="interval-value"
          x1={percent(part(figure.value))}
          x2={percent(part(figure.value))}
          y1="10%"
          y2="90%"
        />
      </svg>
      {marks.map(({ at, text }) => (
        <span key={at} style={{ left: percent(part(at)) }}>
          {text}
        </span>
      ))}
    </div>
  )
}
