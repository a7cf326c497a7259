import { useMemo, useState } from 'preact/hooks'
import { formatDateTime, formatSpeed, growthScale, type Scale, type UnitSystem, type Zone } from '../../core/format.js'
import type { SpindleAnswer, SpindleFit } from '../../core/spindle/index.js'
import { lineColour, lineColours } from '../charts/line-styles.js'
import type { Line, Marks } from '../charts/time-chart.js'
import { type Dots, XyChart } from '../charts/xy-chart.js'
import { Choice } from '../frame/switches.js'
import { units } from '../preferences.js'

export const minutesAcross: Scale = { unit: 'min', of: seconds => seconds / 60 }
const speedAcross: Scale = { unit: '1/min', of: speed => speed * 60 }

type Shown = NonNullable<SpindleAnswer['shown']>
interface Fitted {
  shown: Shown
  fit: SpindleFit
}

const tenths = (system: UnitSystem) => (system === 'inch' ? 5 : 1)

/** Steps with their beginning, s. */
const begun = ({ test: { test } }: Shown) => {
  let end = 0
  return test.steps.map(step => {
    end += step.duration
    return { ...step, from: end - step.duration, to: end }
  })
}

const lineOf = (id: string, name: string, style: number, points: SpindleFit['overTime'], from = 0): Line => ({
  id,
  name,
  style,
  banded: true,
  points: points.map(({ at, growth, halfBand }) => ({
    at: at - from,
    value: growth,
    low: growth - halfBand,
    high: growth + halfBand,
  })),
})

const dotsOf = (name: string, style: number, points: SpindleFit['readings'], from = 0): Dots[] =>
  [false, true].map(crossed => ({
    name: crossed ? `${name}, not believed` : name,
    style,
    crossed,
    points: points.flatMap(({ at, growth, outlier }) =>
      outlier === crossed ? [{ at: at - from, value: growth }] : [],
    ),
  }))

/** in thousands, so that six fit beside each other on a phone */
const short = (speed: number) => String(Math.round(speed * 6) / 100)

/** Growth over the test with what was read, the fit and its 90 % band: as it was run, or each speed from its beginning. */
export const OverTime = ({ shown, fit }: Fitted) => {
  const system = units.value
  const [by, setBy] = useState<'test' | 'speed'>('test')
  const steps = useMemo(() => begun(shown), [shown])
  const { lines, dots, marks, to } = useMemo(() => {
    const end = steps.at(-1)?.to ?? 0
    if (by === 'test')
      return {
        lines: [lineOf('fit', 'Fit', 0, fit.overTime)],
        dots: dotsOf('Read', 0, fit.readings),
        marks: {
          level: null,
          moments: steps.map(({ speed, from }) => ({ at: from, text: short(speed) })),
        } satisfies Marks,
        to: end,
      }
    const within = <T extends { at: number }>(all: readonly T[], { from, to }: (typeof steps)[number]) =>
      all.filter(({ at }) => at >= from && at <= to)
    return {
      lines: steps.map((step, i) =>
        lineOf(
          `${i}`,
          `${formatSpeed(step.speed)}, step ${i + 1}`,
          i % lineColours,
          within(fit.overTime, step),
          step.from,
        ),
      ),
      dots: steps.flatMap((step, i) =>
        dotsOf(`${formatSpeed(step.speed)}, step ${i + 1}`, i % lineColours, within(fit.readings, step), step.from),
      ),
      marks: { level: null, moments: [] } satisfies Marks,
      to: Math.max(...steps.map(({ duration }) => duration)),
    }
  }, [by, fit, steps])
  return (
    <section class="stack over-time" aria-labelledby="growth-over-time">
      <div class="panel-head">
        <h3 id="growth-over-time">Growth over time</h3>
        <Choice
          legend="How growth over time is shown"
          value={by}
          options={[
            { value: 'test', text: 'As it was run' },
            { value: 'speed', text: 'Each speed from its beginning' },
          ]}
          onChange={setBy}
        />
      </div>
      <XyChart
        label={
          by === 'test'
            ? 'Growth over the minutes of the test, with readings, fit and band; dashed lines are changes of speed'
            : 'Growth over the minutes since each change of speed, with readings, fit and band'
        }
        lines={lines}
        dots={dots}
        marks={marks}
        from={0}
        to={to}
        across={minutesAcross}
        scale={growthScale[system]}
        decimals={tenths(system)}
      />
      {by === 'speed' && (
        <ul class="flow spindle-key">
          {steps.map(({ speed, from }, i) => (
            <li key={from} style={lineColour(i)}>
              <svg viewBox="0 0 20 8" aria-hidden="true">
                <line x1="0" x2="20" y1="4" y2="4" />
              </svg>
              {i + 1}: {speed === 0 ? 'at rest' : formatSpeed(speed)}
            </li>
          ))}
        </ul>
      )}
      <p class="quiet">
        Points are readings, the line is the fit, the band holds 90 %.
        {by === 'test' && ' Numbers above are speeds in 1000/min; 0 is at rest.'}
        {fit.readings.some(({ outlier }) => outlier) &&
          ' Crossed readings are too far off to be believed and count for nothing.'}
      </p>
    </section>
  )
}

/** px; on a narrower page the words below the chart have to say what the grey means */
const narrow = 600
/** how far beyond the highest tested speed the chart goes, to show that nothing is known there */
const beyond = 1.3

/** Steady growth by speed, monotone between tested speeds, beside earlier tests. */
export const BySpeed = ({ shown, fit, tests, zone }: Fitted & { tests: SpindleAnswer['tests']; zone: Zone }) => {
  const system = units.value
  const highest = fit.bySpeed.at(-1)?.speed ?? 0
  const others = useMemo(
    () =>
      tests
        .filter(({ id, steady }) => id !== shown.test.id && steady)
        .slice(0, 3)
        .map(({ at, steady }, i) => ({
          name: formatDateTime(at, zone),
          style: i + 1,
          crossed: false,
          points: steady!.map(({ speed, growth }) => ({ at: speed, value: growth })),
        })),
    [tests, shown],
  )
  const lines = useMemo(
    () => [
      lineOf(
        'steady',
        'This test',
        0,
        fit.bySpeed.map(({ speed, ...rest }) => ({ at: speed, ...rest })),
      ),
    ],
    [fit],
  )
  const dots = useMemo<Dots[]>(
    () => [
      ...others,
      {
        name: 'This test',
        style: 0,
        crossed: false,
        points: fit.steady.map(({ speed, growth }) => ({ at: speed, value: growth })),
      },
    ],
    [fit, others],
  )
  const top = Math.max(highest * beyond, ...others.flatMap(({ points }) => points.map(({ at }) => at)))
  const marks = useMemo<Marks>(
    () => ({
      level: null,
      moments: [],
      stretches: [{ from: highest, to: top, text: innerWidth < narrow ? '' : 'not tested' }],
    }),
    [highest, top],
  )
  return (
    <section class="stack over-time" aria-labelledby="steady-by-speed">
      <div class="panel-head">
        <h3 id="steady-by-speed">Steady growth by speed</h3>
      </div>
      <XyChart
        label="Steady growth over spindle speed; the table below has its values"
        lines={lines}
        dots={dots}
        marks={marks}
        from={0}
        to={top}
        across={speedAcross}
        scale={growthScale[system]}
        decimals={tenths(system)}
      />
      {others.length > 0 && (
        <ul class="flow spindle-key">
          {[{ name: 'This test', style: 0 }, ...others].map(({ name, style }) => (
            <li key={name} style={lineColour(style)}>
              <svg viewBox="0 0 20 8" aria-hidden="true">
                <line x1="4" x2="16" y1="4" y2="4" />
              </svg>
              {name}
            </li>
          ))}
        </ul>
      )}
      <p class="quiet">
        Between tested speeds the line never overshoots; beyond {formatSpeed(highest)} nothing was measured (grey), and
        what is said of such speeds is a guess.
      </p>
    </section>
  )
}
