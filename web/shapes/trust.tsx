import type { Trust } from '../../core/state.js'
import './shapes.css'

/** the line of readings: going on, thinning out, jumping, broken off */
const drawings: Record<Trust, string> = {
  ok: 'M1 12h22',
  late: 'M1 12h6m5 0h4m5 0h2',
  suspect: 'M1 12h6l3-10l4 20l3-10h6',
  lost: 'M1 12h7M14 6l9 12M23 6l-9 12',
}

export const TrustMark = ({ trust }: { trust: Trust }) => (
  <span class={`trust is-${trust}`}>
    <svg class="shape" viewBox="0 0 24 24" aria-hidden="true">
      <path d={drawings[trust]} fill="none" stroke="currentColor" stroke-width="4" stroke-linejoin="round" />
    </svg>
    {trust}
  </span>
)
