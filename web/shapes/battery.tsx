import { formatLevel } from '../../core/format.js'
import type { Battery } from '../../core/state.js'
import './shapes.css'

/** what is left in a battery; a low one with its word and an almost empty cell */
export const BatteryMark = ({ battery }: { battery: Battery }) => (
  <span class={`battery${battery.low ? ' is-low' : ''}`}>
    {battery.low && (
      <svg class="shape" viewBox="0 0 24 24" aria-hidden="true">
        <path
          d="M1.5 6h18v12h-18zM19.5 10h3v4h-3M5 10v4"
          fill="none"
          stroke="currentColor"
          stroke-width="3"
          stroke-linejoin="round"
        />
      </svg>
    )}
    {formatLevel(battery)}
    {battery.low && ' low'}
  </span>
)
