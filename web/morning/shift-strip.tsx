import { formatClock, formatMoment, type Zone } from '../../core/format.js'
import type { JobAnswer, PlannedJob } from '../../core/morning/index.js'
import { nameOf } from '../../core/names.js'
import type { Shop } from '../../core/shop.js'
import { timeTicks } from '../charts/ticks.js'
import { barsOf, type Opening, openings, positionIn, type Stretch } from './shift.js'

const percent = (part: number): string => `${(100 * part).toFixed(2)}%`

/** Times above, or below, the strips. */
export const ShiftTimes = ({ shift, now, zone, most }: { shift: Stretch; now: number; zone: Zone; most: number }) => {
  // the time of now stands out, so others make room for it
  const near = (0.8 * (shift.to - shift.from)) / most
  return (
    <div class="shift-times" aria-hidden="true">
      {timeTicks(shift.from, shift.to, zone, most)
        .filter(({ value }) => Math.abs(value - now) > near && positionIn(shift, value) < 0.97)
        .map(({ value }) => (
          <span key={value} style={{ left: percent(positionIn(shift, value)) }}>
            {formatClock(value, zone)}
          </span>
        ))}
      <b style={{ left: percent(positionIn(shift, now)) }}>{formatClock(now, zone)}</b>
    </div>
  )
}

/** the drawing's own units across */
const wide = 1000

interface LaneProps {
  all: readonly Opening[]
  shift: Stretch
  /** 0..100 */
  top: number
  bottom: number
  form: 'fit' | 'after change'
}

const Openings = ({ all, shift, top, bottom, form }: LaneProps) =>
  all.map(({ earliest, from, to }) => {
    const [a, b, c] = [earliest, from, to].map(moment => (wide * positionIn(shift, moment)).toFixed(1))
    const edge = `M${a} ${bottom}L${b} ${top}H${c}`
    return (
      <g key={from}>
        <path class={form === 'fit' ? 'opening' : 'opening is-after'} d={`${edge}V${bottom}z`} />
        {form === 'fit' && <path class="opening-edge" d={edge} />}
      </g>
    )
  })

interface BarProps {
  bar: Stretch
  shift: Stretch
  y: number
  form: 'planned' | 'advised' | 'after'
}

const Bar = ({ bar, shift, y, form }: BarProps) => {
  const left = positionIn(shift, bar.from)
  return (
    <i
      class={`job-bar is-${form}`}
      style={{ left: percent(left), width: percent(positionIn(shift, bar.to) - left), top: `${y}%` }}
    />
  )
}

/** what the strip shows, for those who do not see it */
const inWords = (job: PlannedJob, answer: JobAnswer, shop: Shop, now: number): string => {
  const at = (moment: number) => formatMoment(moment, now, shop)
  const stretches = (all: readonly Stretch[]) => all.map(({ from, to }) => `${at(from)} to ${at(to)}`).join(', ')
  const windows = answer.windows.flatMap(({ machine, fit, afterChange }) => [
    `${nameOf(shop.machines, machine)}: ${fit.length > 0 ? `could be begun ${stretches(fit)}` : 'at no time as things stand'}`,
    ...(afterChange.length > 0 ? [`after the change ${stretches(afterChange)}`] : []),
  ])
  const advised =
    answer.start === null
      ? 'no start advised'
      : `advised ${at(answer.start)} on ${nameOf(shop.machines, answer.machine)}`
  return `Planned ${at(job.start)}, ${advised}. ${windows.join('; ')}.`
}

interface Props {
  job: PlannedJob
  answer: JobAnswer
  shift: Stretch
  shop: Shop
  now: number
}

/** A job in the day: at its planned start, against the time in which machine and part are fit, and as advised. */
export const ShiftStrip = ({ job, answer, shift, shop, now }: Props) => {
  const { planned, advised, onlyAfterChange } = barsOf(job, answer)
  const moves = answer.answer === 'move'
  const of = (machine: string) => answer.windows.find(each => each.machine === machine)
  // two machines stand one above the other, each with its own time
  const lanes = moves
    ? [
        { windows: of(job.machines[0]!), top: 8, bottom: 46, ready: answer.ready },
        { windows: of(answer.machine), top: 54, bottom: 92, ready: null },
      ]
    : [{ windows: of(answer.machine), top: 14, bottom: 86, ready: answer.answer === 'wait' ? answer.ready : null }]
  const apart = !moves && planned !== null && advised !== null && advised.from < planned.to
  const plannedAt = moves ? 27 : apart || onlyAfterChange ? 31 : 50
  const advisedAt = moves ? 73 : planned && (apart || onlyAfterChange) ? 69 : 50
  return (
    <div class="shift" role="img" aria-label={inWords(job, answer, shop, now)}>
      <svg viewBox={`0 0 ${wide} 100`} preserveAspectRatio="none" aria-hidden="true">
        <rect class="shift-past" x="0" width={wide * positionIn(shift, now)} y="0" height="100" />
        {timeTicks(shift.from, shift.to, shop, 12).map(({ value }) => (
          <path key={value} class="shift-hour" d={`M${(wide * positionIn(shift, value)).toFixed(1)} 0V100`} />
        ))}
        {lanes.map(({ windows, ready, ...place }) => (
          <g key={place.top}>
            <Openings all={openings(windows?.afterChange ?? [], null)} shift={shift} form="after change" {...place} />
            <Openings all={openings(windows?.fit ?? [], ready)} shift={shift} form="fit" {...place} />
          </g>
        ))}
        <path class="shift-now" d={`M${(wide * positionIn(shift, now)).toFixed(1)} 0V100`} />
      </svg>
      <div aria-hidden="true">
        {answer.answer === 'cannot tell' && <span class="shift-unknown">not known</span>}
        {planned && <Bar bar={planned} shift={shift} y={plannedAt} form="planned" />}
        {planned && advised && !moves && advised.from > planned.to && (
          <i
            class="job-arrow"
            style={{
              left: percent(positionIn(shift, planned.to)),
              width: percent(positionIn(shift, advised.from) - positionIn(shift, planned.to)),
            }}
          />
        )}
        {advised && <Bar bar={advised} shift={shift} y={advisedAt} form={onlyAfterChange ? 'after' : 'advised'} />}
        {moves &&
          lanes.map(({ top, bottom }, i) => (
            <span key={top} class="shift-lane" style={{ top: `${(top + bottom) / 2}%` }}>
              {nameOf(shop.machines, i === 0 ? job.machines[0]! : answer.machine)}
            </span>
          ))}
      </div>
    </div>
  )
}
