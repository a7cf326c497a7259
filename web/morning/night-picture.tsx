import {
  formatClock,
  formatDifference,
  formatGrowth,
  formatTemperature,
  growthScale,
  temperatureScale,
} from '../../core/format.js'
import type { Night } from '../../core/morning/index.js'
import { nameOf } from '../../core/names.js'
import type { Shop } from '../../core/shop.js'
import { across, bandOf, levelsIn, pathOf, toSi, wide } from '../charts/drawing.js'
import { lineColour } from '../charts/line-styles.js'
import { timeTicks } from '../charts/ticks.js'
import { Drawing, dash } from '../charts/time-lanes.js'
import { happenedAddress } from '../frame/happened.js'
import { units } from '../preferences.js'
import { unbroken } from '../words.js'
import { airRange, drawnAirs, growthRange, laneHeight, scaleMark } from './night-scales.js'

interface Props {
  night: Night
  shop: Shop
}

const percent = (x: number): string => `${((100 * x) / wide).toFixed(2)}%`

/** hours, setback and heating: the same lines through the whole picture */
const Moments = ({ night, shop }: Props) => {
  const { setback } = night
  const line = (at: number | null | undefined, name: string) =>
    typeof at === 'number' && at >= night.from && at <= night.to ? (
      <path class={name} d={`M${across(night, at).toFixed(1)} 0V100`} />
    ) : null
  return (
    <>
      {timeTicks(night.from, night.to, shop, 8).map(({ value }) => (
        <path key={value} class="night-hour" d={`M${across(night, value).toFixed(1)} 0V100`} />
      ))}
      {line(setback?.began, 'night-event')}
      {line(setback?.usualBack, 'night-event')}
      {line(setback?.back, 'night-event is-real')}
    </>
  )
}

const Air = ({ night, shop }: Props) => {
  const system = units.value
  const range = airRange(night)
  if (!range) return <p class="empty">Nothing is known of the air in this night.</p>
  const y = (celsius: number) => (100 * (range.high - celsius)) / (range.high - range.low)
  const airs = drawnAirs(night)
  const scale = temperatureScale[system]
  const levels = levelsIn(scale.of(range.low), scale.of(range.high))
  const { setback } = night
  const label = (at: number, top: number, text: string, form: '' | 'is-strong' | 'is-long' = '') => {
    const isLate = across(night, at) > 0.55 * wide
    return (
      <span
        class={`night-label ${isLate ? 'is-before' : ''} ${form}`}
        style={{ left: percent(across(night, at)), top: `${top}%` }}
      >
        {text}
      </span>
    )
  }
  // the last values of two airs must not run into each other
  const ends = airs
    .map(({ course, name }, i) => ({ i, name, last: course.value.filter(v => v !== null).at(-1) ?? null }))
    .flatMap(end => (end.last === null ? [] : [{ ...end, last: end.last, y: y(end.last) }]))
    .sort((a, b) => a.y - b.y)
  ends.forEach((end, k) => {
    const before = ends[k - 1]
    if (before && end.y - before.y < 22) end.y = before.y + 22
  })
  return (
    <div class="night-lane is-air">
      <div class="night-levels">
        {levels.map(level => (
          <span key={level} style={{ top: `${y(toSi(scale, level))}%` }}>
            {level}
          </span>
        ))}
      </div>
      <div class="night-drawing">
        <Drawing>
          {levels.map(level => (
            <path key={level} class="night-level" d={`M0 ${y(toSi(scale, level)).toFixed(1)}H${wide}`} />
          ))}
          {airs.map(({ name, usual }) => usual && <path key={name} class="night-band" d={bandOf(usual, night, y)} />)}
          <Moments night={night} shop={shop} />
          {airs.map(
            ({ name, usual }) =>
              usual && (
                <path key={name} class="night-usual" d={pathOf({ at: usual.at, value: usual.median }, night, y)} />
              ),
          )}
          {airs.map(({ name, course }, i) => (
            <path
              key={name}
              class="night-air"
              style={i > 0 ? lineColour(i - 1) : {}}
              stroke-dasharray={dash(i)}
              d={pathOf(course, night, y)}
            />
          ))}
        </Drawing>
        {setback?.began != null &&
          setback.began >= night.from &&
          label(setback.began, 93, `setback ${formatClock(setback.began, shop)}`)}
        {setback?.usualBack != null &&
          setback.usualBack <= night.to &&
          label(setback.usualBack, 8, `heating usually back ${formatClock(setback.usualBack, shop)}`, 'is-long')}
        {setback?.back != null && label(setback.back, 21, `back ${formatClock(setback.back, shop)}`, 'is-strong')}
      </div>
      <div class="night-ends">
        {ends.map(({ i, name, last, y: top }) => (
          <span key={name} class="night-end" style={{ ...(i > 0 && lineColour(i - 1)), top: `${top}%` }}>
            <b>{unbroken(formatTemperature(last, system))}</b> {name}
          </span>
        ))}
      </div>
    </div>
  )
}

const Sources = ({ night, shop }: Props) =>
  night.sources
    .filter(({ source, active }) => active.length > 0 || shop.sources.find(s => s.id === source)?.kind === 'door')
    .map(({ source, active }) => {
      const of = shop.sources.find(s => s.id === source)
      const isDoor = of?.kind === 'door'
      const still = active.some(({ to }) => to >= night.to - 1000)
      return (
        <div key={source} class="night-lane is-source">
          <div>{of?.name ?? source}</div>
          <div class="night-drawing">
            <Drawing>
              <path class="night-level" d={`M0 50H${wide}`} />
              <Moments night={night} shop={shop} />
              {active.map(({ from, to }) => (
                <rect
                  key={from}
                  class={isDoor ? 'night-active' : 'night-active is-faint'}
                  x={across(night, from)}
                  width={Math.max(2, across(night, to) - across(night, from))}
                  y="25"
                  height="50"
                />
              ))}
            </Drawing>
          </div>
          <div>{still ? <b>{isDoor ? 'open' : 'on'}</b> : isDoor ? 'shut' : 'off'}</div>
        </div>
      )
    })

/** an axis looks alike on every machine */
const axesOf = ({ machines }: Night): string[] => [
  ...new Set(machines.flatMap(({ axes }) => axes.map(({ axis }) => axis)).sort()),
]

const Growth = ({ night, shop }: Props) => {
  const lane = laneHeight(night)
  const styles = axesOf(night)
  return night.machines.map(({ machine, axes }) => {
    const { low, high } = growthRange(axes)
    const middle = (low + high) / 2
    const y = (length: number) => 50 - (84 * (length - middle)) / lane
    const ends = axes.map(({ axis, growth }) => {
      const known = growth.value.filter(value => value !== null)
      return { axis, last: known.at(-1) ?? null, lost: growth.value.at(-1) === null || known.length === 0 }
    })
    const most = ends.reduce<(typeof ends)[number] | null>(
      (a, b) => (b.last !== null && Math.abs(b.last) > Math.abs(a?.last ?? 0) ? b : a),
      ends.find(({ last }) => last !== null) ?? null,
    )
    const lost = ends.filter(end => end.lost).map(({ axis }) => axis)
    return (
      <div key={machine} class="night-lane is-growth">
        <div>
          <a href={happenedAddress(machine, night.from, night.to)}>
            {nameOf(shop.machines, machine)}
            <span class="hidden">: what happened in the night</span>
          </a>
        </div>
        <div class="night-drawing">
          <Drawing>
            <path class="night-level" d={`M0 ${y(0).toFixed(1)}H${wide}`} />
            <Moments night={night} shop={shop} />
            {axes.map(({ axis, growth }) => {
              const style = styles.indexOf(axis)
              const look = { style: lineColour(style), 'stroke-dasharray': dash(style) }
              return <path key={axis} class="night-growth" {...look} d={pathOf(growth, night, y)} />
            })}
          </Drawing>
          {lost.length > 0 && <span class="night-label is-lost">{lost.join(', ')} not known</span>}
        </div>
        <div>{most ? unbroken(`${most.axis} ${formatGrowth(most.last, units.value)}`) : 'not known'}</div>
      </div>
    )
  })
}

/** the picture in words, for those who do not see it; what was unusual stands beside it */
const inWords = ({ night, shop }: Props): string => {
  const system = units.value
  const airs = drawnAirs(night).map(({ name, course, swing }) => {
    const last = course.value.filter(v => v !== null).at(-1) ?? null
    return `${name} ${formatTemperature(last, system)} now${swing === null ? '' : `, it swung by ${formatDifference(swing, system, 'plain')}`}`
  })
  return `The night from ${formatClock(night.from, shop)} to ${formatClock(night.to, shop)}: ${airs.join('; ')}. Growth of each machine by axis is in the table of machines above.`
}

/** Air over the usual night, doors and heating, and what it did to every machine, on one axis of time. */
export const NightPicture = (props: Props) => {
  const { night, shop } = props
  const system = units.value
  const lane = laneHeight(night)
  const { of, unit } = growthScale[system]
  const mark = scaleMark(lane, 1 / of(1))
  return (
    <div class="night">
      <p class="hidden">{inWords(props)}</p>
      <Air {...props} />
      <Sources {...props} />
      <Growth {...props} />
      <div class="night-lane">
        <div />
        <div class="night-drawing time-labels">
          {timeTicks(night.from, night.to, shop, 7).map(({ value }) => (
            <span key={value} style={{ left: percent(across(night, value)) }}>
              {formatClock(value, shop)}
            </span>
          ))}
        </div>
        <div />
      </div>
      <p class="flow morning-key">
        <span>
          growth since {formatClock(night.from, shop)}, all machines to one scale; at right the axis that moved most
        </span>
        <span>
          <i class="key-scale" style={{ '--part': (0.84 * mark) / lane }} /> {Number(of(mark).toPrecision(2))} {unit}
        </span>
        {axesOf(night).map((axis, i) => (
          <span key={axis}>
            <svg class="key-line" viewBox="0 0 32 8" aria-hidden="true">
              <path class="night-growth" style={lineColour(i)} stroke-dasharray={dash(i)} d="M0 4H32" />
            </svg>
            {axis}
          </span>
        ))}
      </p>
    </div>
  )
}
