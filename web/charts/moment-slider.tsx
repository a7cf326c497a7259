import { formatClock } from '../../core/format.js'
import type { Stretch } from './time-lanes.js'

interface MomentProps {
  stretch: Stretch
  /** ms; null while none is looked at */
  moment: number | null
  /** ms */
  step: number
  /** what was so at a moment, in words */
  words: string
  onMoment: (moment: number) => void
}

/** Looks at one moment of a picture: by mouse, finger or keyboard. */
export const MomentSlider = ({ stretch, moment, step, words, onMoment }: MomentProps) => (
  <div class="track is-slider screen-only">
    <span class="track-name">Look at</span>
    <input
      type="range"
      aria-label="Look at a moment"
      aria-valuetext={moment === null ? 'no moment' : `${formatClock(moment, stretch.zone)}: ${words}`}
      min={stretch.from}
      max={stretch.to}
      step={step}
      value={moment ?? stretch.to}
      onInput={event => onMoment(Number(event.currentTarget.value))}
    />
    <b class="track-end">{moment === null ? '' : formatClock(moment, stretch.zone)}</b>
  </div>
)
