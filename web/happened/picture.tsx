import { useMemo, useState } from 'preact/hooks'
import {
  formatDuration,
  formatGrowth,
  formatSpeed,
  formatTemperature,
  temperatureScale,
  type UnitSystem,
} from '../../core/format.js'
import type { HappenedAnswer, JobOutcome } from '../../core/happened/index.js'
import { type Reader, sayMark } from '../../core/sentences/index.js'
import type { Machine, Shop } from '../../core/shop.js'
import { toPerMinute } from '../../core/units.js'
import { CourseLane, type LaneLine, laneRange } from '../charts/course-lane.js'
import { MomentSlider } from '../charts/moment-slider.js'
import { wallScale } from '../charts/scale.js'
import { MarkLane, SpanLane, type Stretch, TimeLanes } from '../charts/time-lanes.js'
import { VerdictLane } from '../charts/verdict-lane.js'
import { unbroken } from '../words.js'
import { kindOf, MarkKey, markShapes, markWords } from './marks.js'

interface Props {
  answer: HappenedAnswer
  machine: Machine
  shop: Shop
  reader: Reader
}

const outcomeWords: Record<JobOutcome, string> = {
  within: 'kept to its share',
  perhaps: 'may have been out',
  beyond: 'out',
  'not known': 'cannot be told',
  'not over': 'not over yet',
}
const outcomeHeights: Record<JobOutcome, number> = {
  within: 0.15,
  perhaps: 0.55,
  beyond: 1,
  'not known': 1,
  'not over': 0.15,
}

/** the value of a course at a moment, or the last known one */
const valueAt = ({ at, value }: Pick<LaneLine, 'at' | 'value'>, moment: number | null): number | null => {
  if (moment === null) return value.findLast(each => each !== null) ?? null
  const near = at.reduce((best, each, i) => (Math.abs(each - moment) < Math.abs(at[best]! - moment) ? i : best), 0)
  return value[near] ?? null
}

const useCourses = ({ answer, machine, shop }: Props) =>
  useMemo(() => {
    const nodes = machine.nodes.map(({ id, name, kind }, i) => ({
      kind,
      line: { name, style: 0, at: answer.at, value: answer.nodes.find(({ node }) => node === id)?.value ?? [] },
      i,
    }))
    const styled = (lines: LaneLine[]) =>
      lines.filter(({ value }) => value.some(each => each !== null)).map((line, style) => ({ ...line, style }))
    const airs = styled([
      ...nodes.filter(({ kind }) => kind !== 'body').map(({ line }) => line),
      ...answer.places
        .filter(({ id }) => id !== 'outdoors')
        .map(({ name, at, value }) => ({ name: name.toLowerCase(), style: 0, at, value })),
    ])
    const outdoors = styled(
      answer.places
        .filter(({ id }) => id === 'outdoors')
        .map(({ name, at, value }) => ({ name: name.toLowerCase(), style: 0, at, value })),
    )
    const bodies = styled(nodes.filter(({ kind }) => kind === 'body').map(({ line }) => line))
    const growth = styled(
      answer.axes.map(({ axis, growth: value }) => {
        const first = value.find(each => each !== null) ?? 0
        const since = value.map(each => (each === null ? null : each - first))
        return { name: axis, style: 0, at: answer.at, value: since }
      }),
    )
    const spindle = answer.spindle && {
      speed: { name: 'speed', style: 0, at: answer.at, value: answer.spindle.speed },
      growth:
        answer.spindle.axis === null
          ? null
          : { name: answer.spindle.axis, style: 0, at: answer.at, value: answer.spindle.growth },
    }
    return { airs, outdoors, bodies, growth, spindle, shop }
  }, [answer, machine, shop])

/** Course, events, growth and verdicts on one axis of time; what was so at a moment can be looked at. */
export const HappenedPicture = (props: Props) => {
  const { answer, machine, shop, reader } = props
  const { system } = reader
  const [moment, setMoment] = useState<number | null>(null)
  const { airs, outdoors, bodies, growth, spindle } = useCourses(props)
  const stretch: Stretch = { from: answer.from, to: answer.to, zone: shop }
  const at = moment ?? undefined
  const [temperature, length] = [temperatureScale[system], wallScale[system]]
  const ends = (lines: readonly LaneLine[], format: (si: number | null, system: UnitSystem) => string) =>
    lines.map(line => {
      const y = valueAt(line, moment)
      return { name: line.name, style: line.style, y, text: unbroken(format(y, system)) }
    })
  /** what all courses have alike */
  const shared = (lines: readonly LaneLine[], format: Parameters<typeof ends>[1]) => ({
    ...{ stretch, lines, ends: ends(lines, format), moment: at },
  })
  const warmth = (name: string, lines: readonly LaneLine[], form?: 'low') =>
    lines.length > 0 && (
      <CourseLane
        {...shared(lines, formatTemperature)}
        name={name}
        note={temperature.unit}
        range={laneRange(lines, 2)}
        scale={temperature}
        empty="Nothing is known."
        form={form}
      />
    )
  const names = new Map(shop.workClasses.map(({ id, name }) => [id, name]))
  const marks = answer.marks.map(mark => ({ mark, kind: kindOf(mark) }))
  const kinds = new Map(marks.map(({ kind }) => [markWords[kind], kind]))
  const words = [...ends(airs, formatTemperature), ...ends(bodies, formatTemperature), ...ends(growth, formatGrowth)]
    .map(({ name, text }) => `${name} ${text}`)
    .join(', ')
  return (
    <>
      <TimeLanes
        stretch={stretch}
        label={`Temperatures, growth, doors and verdicts of ${machine.name} on one axis of time. What they came to: ${words}.`}
      >
        {warmth('Air', airs)}
        {warmth('Outdoors', outdoors, 'low')}
        {answer.sources.map(({ source, active }) => {
          const of = shop.sources.find(({ id }) => id === source)
          const [on, off] = of?.kind === 'heat source' ? ['on', 'off'] : ['open', 'shut']
          const total = (active ?? []).reduce((sum, { from, to }) => sum + to - from, 0) / 1000
          return (
            <SpanLane
              key={source}
              stretch={stretch}
              name={of?.name ?? source}
              spans={(active ?? []).map(span => ({ ...span, class: 'track-active', title: on! }))}
              end={
                active === null ? 'nothing tells' : total === 0 ? `${off} throughout` : `${on} ${formatDuration(total)}`
              }
              moment={at}
            />
          )
        })}
        {warmth('Machine', bodies)}
        <CourseLane
          {...shared(growth, formatGrowth)}
          name="Growth"
          note={`${length.unit}, since the beginning`}
          range={laneRange(growth, 4e-6)}
          scale={length}
          empty="Growth cannot be told: a node it depends on was not known."
        />
        {spindle && (
          <CourseLane
            {...shared([spindle.speed], formatSpeed)}
            name="Spindle"
            note="1/min"
            range={{ low: 0, high: Math.max(1000 / 60, ...spindle.speed.value.map(each => each ?? 0)) }}
            scale={{ unit: '1/min', of: toPerMinute }}
            empty="Its speed was not known."
            form="low"
          />
        )}
        {spindle?.growth && (
          <CourseLane
            {...shared([spindle.growth], formatGrowth)}
            name="Spindle growth"
            note={`${length.unit}, by its speed; not in the growth above`}
            range={laneRange([spindle.growth], 4e-6)}
            scale={length}
            empty="Its growth cannot be told."
            form="low"
          />
        )}
        {answer.work.length > 0 && (
          <SpanLane
            stretch={stretch}
            name="Planned jobs"
            spans={answer.work.map(({ from, to, part }) => ({ from, to, class: 'track-active is-faint', title: part }))}
            end={[...new Set(answer.work.map(({ part }) => part))].join(', ')}
            moment={at}
          />
        )}
        {answer.marks.length > 0 && (
          <MarkLane
            stretch={stretch}
            name="Marks"
            marks={marks.map(({ mark, kind }) => ({
              at: mark.at,
              shape: markShapes[kind],
              title: sayMark(mark, shop, reader).text,
            }))}
            end={<MarkKey kinds={[...kinds.values()]} />}
            moment={at}
          />
        )}
        {answer.wall.map(({ workClass, bands }) => {
          const jobs = answer.jobs.find(each => each.workClass === workClass)
          return (
            <div class="stack wall-and-jobs" key={workClass}>
              <VerdictLane
                stretch={stretch}
                name={names.get(workClass)}
                bands={bands}
                end="shown on the wall"
                moment={at}
              />
              <SpanLane
                stretch={stretch}
                name=""
                spans={(jobs?.stretches ?? []).map(({ from, to, outcome }) => ({
                  from,
                  to,
                  class: `track-job is-${outcome.replace(' ', '-')}`,
                  title: outcomeWords[outcome],
                  height: outcomeHeights[outcome],
                }))}
                end="jobs begun then"
                moment={at}
              />
            </div>
          )
        })}
      </TimeLanes>
      <MomentSlider stretch={stretch} moment={moment} step={answer.width} words={words} onMoment={setMoment} />
      <p class="flow key happened-key">
        <span>Shown: the taller, the graver; unknown is hollow.</span>
        <span>Jobs, by when they begin:</span>
        {(['within', 'perhaps', 'beyond'] as const).map(outcome => (
          <span key={outcome}>
            <svg viewBox="0 0 24 12" aria-hidden="true">
              <rect
                class={`track-job is-${outcome}`}
                width="24"
                y={12 * (1 - outcomeHeights[outcome])}
                height={12 * outcomeHeights[outcome]}
              />
            </svg>{' '}
            {outcomeWords[outcome]}
          </span>
        ))}
        <span>gaps: cannot be told, or not over yet</span>
      </p>
    </>
  )
}
