import {
  compareTests,
  fitSpindle,
  type KnownSpindle,
  knownByTest,
  predictGrowth,
  type SpindleAnswer,
  type SpindleFit,
  type SpindleModel,
  type SpindleTest,
  type SpindleWarning,
} from '../../../core/spindle/index.js'
import { standingFacts } from '../../store/standing-facts.js'
import type { Store } from '../../store/store.js'
import { Turn } from '../../turns.js'

/** A machine's growth tests in order of the time at which they began; what was taken back is not among them. */
export const spindleTestsOf = (store: Pick<Store, 'facts'>, machine: string): Promise<SpindleTest[]> =>
  standingFacts(store, machine, 'spindle test', 'spindle test taken back', ({ test }) => test)

/** What a test tells, or why it tells nothing. */
type Fitted = { model: SpindleModel } | { why: string }

/** models kept; a shop has a test or two for each machine that are asked for again and again */
const mostKept = 50
const kept = new Map<string, Fitted>()

/** The fit of a test: some 100 ms the first time, then remembered. */
const fittedOf = ({ test }: Pick<SpindleTest, 'test'>): Fitted => {
  const key = JSON.stringify(test)
  const known = kept.get(key)
  if (known) return known
  let found: Fitted
  try {
    found = { model: fitSpindle(test) }
  } catch (error) {
    if (!(error instanceof RangeError)) throw error
    found = { why: error.message }
  }
  if (kept.size >= mostKept) kept.delete(kept.keys().next().value!)
  kept.set(key, found)
  return found
}

/** points of a curve over the whole test, and over the speeds */
const points = { time: 240, speed: 60 }
/** s; growth is steady by then whatever the time constants */
const forever = 1e9

/** what is not known at all is infinite in the fit, which no answer can carry */
const finite = (value: number): number | null => (Number.isFinite(value) ? value : null)
const steadyOf = ({ steady }: SpindleModel): SpindleFit['steady'] => {
  const constants = (all: (typeof steady)[number]['heating']) =>
    all.map(({ seconds, standardError }) => ({ seconds, standardError: finite(standardError) }))
  return steady.map(each => ({
    ...each,
    standardError: finite(each.standardError),
    halfInterval: finite(each.halfInterval),
    heating: constants(each.heating),
    cooling: constants(each.cooling),
  }))
}

const fitOf = (model: SpindleModel, { test, at }: SpindleTest): SpindleFit => {
  const end = test.steps.reduce((sum, { duration }) => sum + duration, 0)
  const times = Array.from({ length: points.time + 1 }, (_, i) => (i * end) / points.time)
  const highest = model.law.speeds.at(-1)!
  const speeds = [
    ...new Set([
      ...Array.from({ length: points.speed + 1 }, (_, i) => (i * highest) / points.speed),
      ...model.law.speeds,
    ]),
  ].sort((a, b) => a - b)
  const far = new Set(model.outliers)
  return {
    parts: model.law.shares.length === 1 ? 1 : 2,
    variation: model.law.variation,
    fits: model.fits,
    scatter: model.scatter,
    misfit: model.misfit,
    steady: steadyOf(model),
    known: knownByTest(model, at),
    readings: test.readings.map(({ at, growth }, i) => ({ at, growth: growth - model.zero, outlier: far.has(i) })),
    overTime: predictGrowth(model, test.steps, times).map(({ at, growth, halfBand }) => ({
      at,
      growth,
      halfBand,
    })),
    bySpeed: speeds.map(speed => {
      const { growth, halfBand } = predictGrowth(model, [{ speed, duration: forever }], [forever])[0]!
      return { speed, growth, halfBand: speed === 0 ? 0 : halfBand }
    }),
  }
}

const warningsOf = (fitted: Fitted, test: SpindleTest, earlier: readonly SpindleTest[]): SpindleWarning[] => {
  if ('why' in fitted) return [{ kind: 'cannot be fitted', why: fitted.why }]
  const { model } = fitted
  const before = earlier.findLast(other => other.at < test.at && 'model' in fittedOf(other))
  const changed = before ? changesOf(before, test).filter(each => each.changed) : []
  const [largest] = changed.sort((a, b) => Math.abs(b.change) - Math.abs(a.change))
  const short = model.steady.flatMap(({ speed, settled }) => (settled ? [] : [speed]))
  return [
    ...(largest
      ? [
          {
            kind: 'changed' as const,
            since: before!.at,
            speed: largest.speed,
            change: largest.change,
            halfInterval: largest.halfInterval,
          },
        ]
      : []),
    ...(model.fits ? [] : [{ kind: 'does not fit' as const, misfit: model.misfit }]),
    ...(model.late ? [{ kind: 'late' as const }] : []),
    ...(short.length > 0 ? [{ kind: 'too short' as const, speeds: short }] : []),
    ...(model.outliers.length > 0 ? [{ kind: 'outliers' as const, count: model.outliers.length }] : []),
  ]
}

const changesOf = (earlier: SpindleTest, later: SpindleTest) => {
  const [before, after] = [fittedOf(earlier), fittedOf(later)]
  return 'model' in before && 'model' in after ? compareTests(before.model, after.model) : []
}

/**
 * What is known of a spindle from its tests.
 *
 * @param asked the test that is shown; the newest one that can be fitted if not given, or the newest
 */
export const spindleOfTests = async (tests: readonly SpindleTest[], asked?: SpindleTest): Promise<SpindleAnswer> => {
  const turn = new Turn()
  for (const test of tests) {
    fittedOf(test)
    if (turn.isOver) await turn.next()
  }
  const shown = asked ?? newestFitted(tests)?.test ?? tests.at(-1)
  return {
    tests: tests
      .map(({ test, ...about }, i) => {
        const fitted = fittedOf({ test })
        const { steps, readings, toolLength, indicatorHeight } = test
        return {
          ...about,
          steps,
          readings: readings.length,
          toolLength,
          indicatorHeight,
          steady: 'model' in fitted ? steadyOf(fitted.model) : null,
          changes: i > 0 ? changesOf(tests[i - 1]!, tests[i]!) : [],
        }
      })
      .reverse(),
    shown: shown ? shownOf(shown, tests) : null,
  }
}

const shownOf = (test: SpindleTest, tests: readonly SpindleTest[]): NonNullable<SpindleAnswer['shown']> => {
  const fitted = fittedOf(test)
  return {
    test,
    fit: 'model' in fitted ? fitOf(fitted.model, test) : null,
    warnings: warningsOf(fitted, test, tests),
  }
}

/** The newest test that can be fitted, and what it tells: what a plan, or a prediction of now, stands on. */
export const newestFitted = (tests: readonly SpindleTest[]): { test: SpindleTest; model: SpindleModel } | null => {
  for (const test of [...tests].reverse()) {
    const fitted = fittedOf(test)
    if ('model' in fitted) return { test, model: fitted.model }
  }
  return null
}

/** What the newest test that can be fitted tells of a spindle; null where none tells anything. */
export const knownByTests = (tests: readonly SpindleTest[]): KnownSpindle | null => {
  const newest = newestFitted(tests)
  return newest && knownByTest(newest.model, newest.test.at)
}

/** What follows a machine's spindle live, from its newest test; null where none tells anything. */
export const knownSpindleOf = async (store: Pick<Store, 'facts'>, machine: string): Promise<KnownSpindle | null> =>
  knownByTests(await spindleTestsOf(store, machine))
