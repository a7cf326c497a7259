import { Fragment } from 'preact'
import { formatDwell, formatFineGrowth, growthScale } from '../../core/format.js'
import type { PlanInOrder, ToolJob } from '../../core/spindle/index.js'
import { toSi } from '../charts/drawing.js'
import { units } from '../preferences.js'
import { roundTicks } from './round-ticks.js'

/** One tool's stretch of the job, s since its start. */
interface Stretch {
  name: string
  dwellFrom: number
  cutFrom: number
  to: number
}

/** "T7" of "T7 ball end mill": what there is room for over a cut */
const shortName = (name: string): string => name.split(' ')[0]!.slice(0, 6)

const stretches = (plan: PlanInOrder, { tools, change, loaded }: ToolJob): Stretch[] => {
  let at = 0
  return plan.cuts.map(({ tool, dwell }, place) => {
    at += place === 0 && tool === loaded ? 0 : change
    const dwellFrom = at
    const cutFrom = at + dwell
    at = cutFrom + tools[tool]!.cutting
    return { name: shortName(tools[tool]!.name), dwellFrom, cutFrom, to: at }
  })
}

interface Props {
  title: string
  plan: PlanInOrder
  job: ToolJob
  /** s; what the drawing is wide, the same for orders that are compared */
  longest: number
  /** m; what it is high */
  range: { low: number; high: number }
}

/** the drawing's own units */
const wide = 1000
const high = 100

/** What a drawing of some orders must hold, m: their growth with its band, and what the cuts allow about the offset. */
export const rangeOf = (plans: readonly PlanInOrder[]): Props['range'] => {
  let [low, top] = [0, 0]
  for (const { course, cuts } of plans) {
    for (const { growth, halfBand } of course) {
      low = Math.min(low, growth - halfBand)
      top = Math.max(top, growth + halfBand)
    }
    for (const { offset, allowed } of cuts) {
      low = Math.min(low, offset - allowed / 2)
      top = Math.max(top, offset + allowed / 2)
    }
  }
  const room = Math.max(1e-7, 0.05 * (top - low))
  return { low: low < 0 ? low - room : 0, high: top + room }
}

/** Growth over a job in one order: dwells hatched, and over each cut what may change about its offset. */
export const JobCourse = ({ title, plan, job, longest, range }: Props) => {
  const system = units.value
  const across = (at: number) => `${((100 * at) / longest).toFixed(2)}%`
  const up = (growth: number) => `${((100 * (range.high - growth)) / (range.high - range.low)).toFixed(2)}%`
  const x = (at: number) => ((wide * at) / longest).toFixed(1)
  const y = (growth: number) => ((high * (range.high - growth)) / (range.high - range.low)).toFixed(2)
  const { course, cuts } = plan
  const line = course.map(({ at, growth }) => `${x(at)} ${y(growth)}`).join('L')
  const band = [
    ...course.map(({ at, growth, halfBand }) => `${x(at)} ${y(growth + halfBand)}`),
    ...[...course].reverse().map(({ at, growth, halfBand }) => `${x(at)} ${y(growth - halfBand)}`),
  ].join('L')
  const growth = growthScale[system]
  const all = stretches(plan, job)
  const isCrowded = all.some(({ cutFrom, to }) => to - cutFrom < longest / 14)
  const scale = roundTicks(growth.of(range.low), growth.of(range.high), 4)
  return (
    <figure class="job-course">
      <figcaption>
        {title}{' '}
        <span class="quiet">
          {formatDwell(plan.dwell)} of dwell, {Math.ceil(plan.duration / 60)} min in all
        </span>
      </figcaption>
      <div
        class="job-drawing"
        role="img"
        aria-label={`Growth over the job, ${title.toLowerCase()}; its values are in the table`}
      >
        <div class={isCrowded ? 'job-names is-crowded' : 'job-names'}>
          {all.map(({ name, cutFrom, to }) => (
            <span key={name + cutFrom} style={{ left: across(cutFrom), width: across(to - cutFrom) }}>
              <b>{name}</b>
            </span>
          ))}
        </div>
        <div class="job-scale">
          {scale.map(({ value, text }) => (
            <span key={value} style={{ top: up(toSi(growth, value)) }}>
              {text}
            </span>
          ))}
        </div>
        <div class="job-field">
          {scale.map(({ value }) => (
            <i key={value} class={value === 0 ? 'level is-zero' : 'level'} style={{ top: up(toSi(growth, value)) }} />
          ))}
          {all.map(({ dwellFrom, cutFrom, to }, i) => {
            const { offset, allowed, dwell } = cuts[i]!
            const [top, bottom] = [offset + allowed / 2, offset - allowed / 2]
            return (
              <Fragment key={cutFrom}>
                {dwell > 0 && (
                  <i class="dwell" style={{ left: across(dwellFrom), width: across(cutFrom - dwellFrom) }}>
                    {cutFrom - dwellFrom > longest / 9 && <span>{formatDwell(dwell)}</span>}
                  </i>
                )}
                <i
                  class="allowed"
                  style={{
                    left: across(cutFrom),
                    width: across(to - cutFrom),
                    top: up(Math.min(top, range.high)),
                    height: `${((100 * (Math.min(top, range.high) - Math.max(bottom, range.low))) / (range.high - range.low)).toFixed(2)}%`,
                  }}
                />
                <i class="offset" style={{ left: across(cutFrom), width: across(to - cutFrom), top: up(offset) }} />
              </Fragment>
            )
          })}
          <svg viewBox={`0 0 ${wide} ${high}`} preserveAspectRatio="none" aria-hidden="true">
            <path class="band" d={`M${band}z`} />
            <path class="growth" d={`M${line}`} />
          </svg>
        </div>
        <div class="job-minutes">
          {roundTicks(0, longest / 60, 6).map(({ value, text }) => (
            <span key={value} style={{ left: across(value * 60) }}>
              {text}
            </span>
          ))}
        </div>
        <span class="job-unit quiet">{growth.unit}</span>
      </div>
      <p class="hidden">
        From {formatFineGrowth(course[0]?.growth ?? null, system)} to{' '}
        {formatFineGrowth(course.at(-1)?.growth ?? null, system)}.
      </p>
    </figure>
  )
}
