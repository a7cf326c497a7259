import {
  formatClock,
  formatDifference,
  formatDuration,
  formatLength,
  formatRate,
  formatTemperature,
  formatTolerance,
  type UnitSystem,
  type Zone,
} from '../../core/format.js'
import type { Shop, WorkClass } from '../../core/shop.js'
import type { ShopState, Verdict } from '../../core/state.js'
import { formatDay } from '../days.js'
import { Select } from '../frame/fields.js'
import { units } from '../preferences.js'
import { VerdictShape } from '../shapes/verdict.js'
import { summaryText, verdicts } from './summary.js'

export const Clock = ({ now, zone }: { now: number | null; zone: Zone }) => (
  <div class="head-clock">
    <time class="head-large">{formatClock(now, zone)}</time>
    <p>{now === null ? 'waiting for the service' : formatDay(now, zone)}</p>
  </div>
)

/** K/h; slower than this the air is called steady: it is what sensors and their noise can tell over half an hour */
const steady = 0.05

const Rate = ({ rate }: { rate: number }) => (
  <span class="head-rate">
    <span>{Math.abs(rate) < steady ? 'steady' : rate > 0 ? 'rising' : 'falling'} </span>
    {Math.abs(rate) >= steady && <span>{formatRate(Math.abs(rate), units.value).replace('+', '')}</span>}
  </span>
)

const against = (air: number, reference: number, system: UnitSystem): string => {
  const off = air - reference
  const standard = formatTemperature(reference, system, 0)
  if (Math.abs(off) < steady) return `at ${standard}`
  return `${formatDifference(Math.abs(off), system, 'plain')} ${off > 0 ? 'over' : 'under'} ${standard}`
}

/** The shop's air against the reference temperature. */
export const Air = ({ state, reference }: { state: ShopState | null; reference: number }) => {
  const system = units.value
  const air = state?.air ?? null
  const rate = state?.airRate ?? null
  return (
    <div class="head-air">
      <p class="head-air-now">
        <span class="head-large">{formatTemperature(air, system)}</span> {rate !== null && <Rate rate={rate} />}
      </p>
      <p>shop air{air === null ? ' not known' : `, ${against(air, reference, system)}`}</p>
    </div>
  )
}

/** How many machines can be trusted: read in two seconds. */
export const Summary = ({ counts, believed }: { counts: Record<Verdict, number>; believed: boolean }) => (
  <div class="head-summary">
    <ul aria-hidden="true">
      {verdicts.map(verdict => (
        <li key={verdict} class={counts[verdict] === 0 || !believed ? 'count is-none' : `count is-${verdict}`}>
          <span class="count-number">
            <VerdictShape verdict={verdict} />
            <span class="head-large">{believed ? counts[verdict] : '–'}</span>
          </span>
          <span>{verdict}</span>
        </li>
      ))}
    </ul>
    <p class="hidden" role="status">
      {believed ? summaryText(counts) : 'no data'}
    </p>
  </div>
)

const classDetail = (c: WorkClass, system: UnitSystem): string =>
  `${formatTolerance(c.tolerance, system)} over ${formatLength(c.featureLength, system)}, ${c.material.name}, ${formatDuration(c.duration)}`

interface ClassProps {
  shop: Shop
  shown: WorkClass
  /** s between classes; null when it stays on one */
  rotating: number | null
  onClass: (id: string) => void
  onRotate: () => void
}

/** The work class the wall is about, and the one control to change it. */
export const ClassSwitch = ({ shop, shown, rotating, onClass, onRotate }: ClassProps) => (
  <div class="head-class">
    <div class="class-controls">
      <div>
        <Select aria-label="Work class shown" value={shown.id} options={shop.workClasses} onChange={onClass} />
      </div>
      <button
        type="button"
        class="rotate"
        aria-pressed={rotating !== null}
        aria-label={`Rotate through the work classes, every ${rotating ?? 20} s`}
        onClick={onRotate}
      >
        <svg class="shape" viewBox="0 0 24 24" aria-hidden="true">
          <path d="M19 8A8 8 0 0 0 5 8M5 16a8 8 0 0 0 14 0M19 2v6h-6M5 22v-6h6" />
        </svg>
        {rotating !== null && <span aria-hidden="true">{rotating} s</span>}
      </button>
    </div>
    <p>{classDetail(shown, units.value)}</p>
  </div>
)
