import { useMemo, useState } from 'preact/hooks'
import { formatGrowth, formatTemperature, temperatureScale } from '../../core/format.js'
import { type HappenedAnswer, offsetBy } from '../../core/happened/index.js'
import type { CourseAnswer, InvestigatedPart } from '../../core/investigation/index.js'
import { sayWorkChange } from '../../core/sentences/index.js'
import { CourseLane, laneRange } from '../charts/course-lane.js'
import { MomentSlider } from '../charts/moment-slider.js'
import { wallScale } from '../charts/scale.js'
import { MarkLane, SpanLane, type Stretch, TimeLanes } from '../charts/time-lanes.js'
import { VerdictLane } from '../charts/verdict-lane.js'
import { CardTitle } from '../frame/card.js'
import { CsvDownload } from '../frame/csv-download.js'
import { MarkKey, markShapes } from '../happened/marks.js'
import { WorkChanges } from '../happened/work-changes.js'
import { units } from '../preferences.js'
import { unbroken } from '../words.js'
import { cutAt, type Investigated, partShape, shapes, sharedOffset } from './parts.js'

interface Props extends Investigated {
  /** what happened on the machine; null while it is asked for, or where the stretch is too long */
  happened: HappenedAnswer | null
  /** something was entered or taken back */
  onChange: () => void
}

/** half of the width of a 90 % interval of a normal distribution, in standard deviations */
const ninety = 1.645

const momentsOf = ({ from, step, values }: CourseAnswer) => values.map((_, i) => from + i * step)

/** what changed from one part to the next: tool, lot, set-up */
const changesOf = (parts: readonly InvestigatedPart[]) =>
  (['tool', 'lot', 'setup'] as const).flatMap(of =>
    parts.flatMap((part, i) => {
      const before = parts[i - 1]
      const kind = of === 'setup' ? ('set-up' as const) : of
      return before && before[of] !== part[of] && part[of] !== ''
        ? [{ at: part.from, kind, title: `${kind} ${part[of]}` }]
        : []
    }),
  )

/** Deviation and prediction over temperature, events and verdicts, on one axis of time. */
export const CourseCard = ({ answer, group, parts, happened, machine, shop, reader, onChange }: Props) => {
  const system = units.value
  const [moment, setMoment] = useState<number | null>(null)
  const stretch: Stretch = {
    from: group.course.from,
    to: group.course.from + group.course.step * group.course.values.length,
    zone: shop,
  }
  const offset = useMemo(() => sharedOffset(parts), [parts])
  const changes = useMemo(() => answer.changes.filter(each => each.machine === group.machine), [answer, group.machine])
  const line = useMemo(() => {
    const at = momentsOf(group.course)
    const value = group.course.values.map((each, i) =>
      each === null ? null : each + offset + offsetBy(changes, group.axis, at[i]!),
    )
    const known = value.flatMap((each, i) => (each === null ? [] : [i]))
    const edge = (sign: number) => known.map(i => value[i]! + sign * ninety * (group.uncertainty.values[i] ?? 0))
    return {
      at,
      value,
      band: { name: 'its uncertainty', style: 0, at: known.map(i => at[i]!), value: [], low: edge(-1), high: edge(1) },
    }
  }, [group, offset, changes])
  const air = { name: 'air', style: 0, at: momentsOf(group.air), value: group.air.values }
  const predicted = { name: 'predicted', style: 0, at: line.at, value: line.value }
  const limits = [
    ...(group.upper === null ? [] : [{ at: group.upper, text: `upper limit ${formatGrowth(group.upper, system)}` }]),
    ...(group.lower === null ? [] : [{ at: group.lower, text: `lower limit ${formatGrowth(group.lower, system)}` }]),
  ]
  const deviations = parts.map(({ deviation }) => deviation)
  const range = laneRange([predicted, line.band], 4e-6, [...deviations, ...limits.map(({ at }) => at)])
  const near = (of: CourseAnswer) => {
    if (moment === null) return null
    return of.values[Math.round((moment - of.from) / of.step)] ?? null
  }
  const nearest =
    moment === null
      ? null
      : parts.reduce<InvestigatedPart | null>(
          (a, b) => (a && Math.abs(cutAt(a) - moment) <= Math.abs(cutAt(b) - moment) ? a : b),
          null,
        )
  const marks = [
    ...answer.datums
      .filter(each => each.machine === group.machine && each.at >= stretch.from && each.at <= stretch.to)
      .map(each => ({
        at: each.at,
        kind: 'datum' as const,
        title: each.firstPart ? 'datum, a first part measured' : 'datum',
      })),
    ...changes.map(change => ({ at: change.at, kind: change.kind, title: sayWorkChange(change, reader) })),
    ...changesOf(parts),
  ]
  const kinds = [...new Set(marks.map(({ kind }) => kind))]
  const at = moment ?? undefined
  const alone = near(group.course)
  // as the line is drawn: with what offsets made by then
  const predictedNow = alone === null || moment === null ? null : alone + offset + offsetBy(changes, group.axis, moment)
  const end = (name: string, y: number | null, text: string) =>
    moment === null ? [] : [{ name, style: 0, y, text: unbroken(text) }]
  const words = [
    predictedNow === null ? '' : `predicted ${formatGrowth(predictedNow, system)}`,
    near(group.air) === null ? '' : `air ${formatTemperature(near(group.air), system)}`,
    nearest ? `nearest part ${nearest.serial || nearest.inspection} ${formatGrowth(nearest.deviation, system)}` : '',
  ]
    .filter(Boolean)
    .join(', ')
  const band = happened?.wall.find(({ workClass }) => workClass === group.verdicts?.workClass)
  return (
    <section class="panel" aria-labelledby="the-course">
      <CardTitle id="the-course" text="Parts and prediction over time" about="was-it-heat#the-pictures">
        <div class="buttons">
          <CsvDownload
            name="prediction"
            about="Prediction over time as CSV"
            columns={['timeUtc', 'predictedMetres', 'standardUncertaintyMetres', 'airCelsius']}
            rows={() =>
              group.course.values.map((value, i) => {
                const when = group.course.from + i * group.course.step
                const of = group.air.values[Math.round((when - group.air.from) / group.air.step)] ?? null
                return [new Date(when).toISOString(), value, group.uncertainty.values[i] ?? null, of]
              })
            }
          />
        </div>
      </CardTitle>
      <p class="flow key happened-key">
        <span>
          <svg viewBox="-8 -8 16 16" aria-hidden="true">
            <path class="track-point is-good" d={shapes.good} />
          </svg>{' '}
          part within its limits
        </span>
        <span>
          <svg viewBox="-8 -8 16 16" aria-hidden="true">
            <path class="track-point is-reject" d={shapes.reject} />
          </svg>{' '}
          reject
        </span>
        <span>
          Line: what heat predicts of a part cut then, with its 90 % band
          {Math.abs(offset) > 0.3e-6 &&
            `; drawn ${unbroken(formatGrowth(offset, system))} off, which is what all parts have in common`}
        </span>
      </p>
      <TimeLanes
        stretch={stretch}
        label={`Deviations of ${parts.length} parts and the prediction, air, doors and verdicts over time. The numbers are in the tables of this page and as CSV.`}
      >
        <CourseLane
          stretch={stretch}
          form="tall"
          name="Deviation"
          note={`${wallScale[system].unit}, measured less nominal`}
          lines={[line.band, predicted]}
          range={range}
          scale={wallScale[system]}
          empty="No part can be drawn."
          limits={limits}
          points={parts.map(part => ({
            at: cutAt(part),
            y: part.deviation,
            title: `${part.serial}: ${formatGrowth(part.deviation, system)}`,
            ...partShape(part),
          }))}
          ends={end('predicted', predictedNow, formatGrowth(predictedNow, system))}
          moment={at}
        />
        <CourseLane
          stretch={stretch}
          name="Air"
          note={`${temperatureScale[system].unit}, at the machine`}
          lines={[air]}
          range={laneRange([air], 2)}
          scale={temperatureScale[system]}
          empty="Nothing is known of the air."
          ends={end('air', near(group.air), formatTemperature(near(group.air), system))}
          moment={at}
        />
        {happened?.sources
          .filter(({ active }) => active !== null && active.length > 0)
          .map(({ source, active }) => {
            const of = shop.sources.find(({ id }) => id === source)
            return (
              <SpanLane
                key={source}
                stretch={stretch}
                name={of?.name ?? source}
                spans={(active ?? []).map(span => ({
                  ...span,
                  class: 'track-active',
                  title: of?.kind === 'heat source' ? 'on' : 'open',
                }))}
                end={of?.kind === 'heat source' ? 'on' : 'open'}
                moment={at}
              />
            )
          })}
        {marks.length > 0 && (
          <MarkLane
            stretch={stretch}
            name="Marks"
            marks={marks.map(mark => ({ at: mark.at, shape: markShapes[mark.kind], title: mark.title }))}
            end={<MarkKey kinds={kinds} />}
            moment={at}
          />
        )}
        {band && (
          <VerdictLane
            stretch={stretch}
            name={
              <>
                Verdict <small>{shop.workClasses.find(({ id }) => id === band.workClass)?.name}</small>
              </>
            }
            bands={band.bands}
            end="the taller, the graver"
            moment={at}
          />
        )}
      </TimeLanes>
      <MomentSlider stretch={stretch} moment={moment} step={group.course.step} words={words} onMoment={setMoment} />
      {nearest && <p role="status">{unbroken(words)}</p>}
      {machine && (
        <WorkChanges
          machine={machine}
          shop={shop}
          changes={changes}
          at={moment ?? stretch.to}
          reader={reader}
          onChange={onChange}
        />
      )}
    </section>
  )
}
