import { describe, expect, it } from 'vitest'
import { bars, isMet } from './bars.js'
import { allColumns } from './columns.js'
import { allForecasts } from './node-forecasts.js'
import type { ReadySample } from './ready.js'
import type { AxisRecord, ClassRecord, ExamRecord } from './records.js'
import { score } from './score.js'

const µm = 1e-6

const axis = (type: AxisRecord['type'], errors: number[], truth: number): AxisRecord => ({
  machine: 'mill-1',
  axis: 'X',
  type,
  predicted: errors.map(error => (truth + error) * µm),
  true: errors.map(() => truth * µm),
  working: errors.map((_, i) => i % 2 === 1),
})
const workClass = (more: Partial<ClassRecord>): ClassRecord => ({
  machine: 'mill-1',
  workClass: 'bores',
  samples: 1000,
  count: { fit: 800, settling: 100, unfit: 60, unknown: 40 },
  falselyFit: 0,
  falselyFitInstant: 0,
  falselyUnfit: 0,
  guarded: 0,
  falselySettling: 0,
  changes: 0,
  worst: [],
  ready: [],
  settling: 0,
  settlingWithoutTime: 0,
  ...more,
})
const record = (more: Partial<ExamRecord>): ExamRecord => ({
  shop: 1,
  healthy: true,
  axes: [],
  classes: [],
  machines: [],
  messages: 0,
  refused: 0,
  days: 2,
  counted: 2,
  columns: allColumns([]),
  forecasts: allForecasts([]),
  named: [],
  fitBys: [],
  suspects: { sensorMonths: 1, falseSuspects: [], faults: [] },
  ...more,
})
const ready = (more: Partial<ReadySample>): ReadySample => ({
  earliest: 20,
  likely: 30,
  latest: 40,
  true: 30,
  already: false,
  ...more,
})

describe('growth', () => {
  const errors = Array.from({ length: 101 }, (_, i) => i / 10 - 5) // −5 … 5 µm evenly
  const { growth, types } = score([
    record({ axes: [axis('scale', errors, 10), axis('screw, pretensioned', [0, 0, 0], 40)] }),
  ])

  it('by axis type: medians and 95th percentiles of absolute errors', () => {
    expect(types.map(({ type }) => type)).toEqual(['screw, pretensioned', 'scale'])
    const scale = types[1]!
    expect(scale.errorMedian).toBeCloseTo(2.5, 6)
    expect(scale.error95).toBeCloseTo(4.75, 1)
    expect(scale.growthMedian).toBeCloseTo(10, 6)
  })

  it('in working hours apart', () => {
    // every second sample, the first not among them: errors 3 and 1
    const of = score([record({ axes: [axis('scale', [9, 3, 9, 1, 9], 10)] })])
    expect(of.growthAtWork.errorMedian).toBeCloseTo(2, 6)
    expect(of.growth.errorMedian).toBeCloseTo(9, 6)
  })

  it('against what is allowed: 1.5 µm or 10 %, 3 µm or 20 %, the larger', () => {
    // 10 µm of growth: 10 % is 1 µm, so 1.5 µm; 20 % is 2 µm, so 3 µm
    expect(types[1]!.medianOfAllowed).toBeCloseTo(2.5 / 1.5, 6)
    expect(types[1]!.part95OfAllowed).toBeCloseTo(types[1]!.error95 / 3, 6)
    // 40 µm of growth: 10 % is 4 µm
    const large = score([record({ axes: [axis('scale', [2], 40)] })])
    expect(large.growth.medianOfAllowed).toBeCloseTo(0.5, 6)
    expect(large.growth.part95OfAllowed).toBeCloseTo(0.25, 6)
    expect(growth.errorMedian).toBeLessThan(2.5)
  })
})

describe('ready times', () => {
  const of = (samples: ReadySample[]) => score([record({ classes: [workClass({ ready: samples })] })])

  it('error and lateness are medians of shown less true; the interval covers what lies in it', () => {
    const { ready: all } = of([
      ready({ true: 30 }),
      ready({ true: 25 }),
      ready({ true: 10 }),
      ready({ true: 60 }),
      ready({ true: 60, latest: 61 }),
    ])
    expect(all.samples).toBe(5)
    // shown less true: 0, 5, 20, −30, −30
    expect(all.errorMedian).toBe(20)
    expect(all.lateMedian).toBe(0)
    expect(all.coverage).toBe(60)
  })

  it('waits of 8 h or more, both shown and true, are not judged; either one shorter is', () => {
    expect(of([ready({ likely: 500, true: 490 })]).ready.samples).toBe(0)
    expect(of([ready({ likely: 500, true: 100 })]).ready.samples).toBe(1)
    expect(of([ready({ likely: 100, true: 500 })]).ready.samples).toBe(1)
  })

  it('what never becomes ready counts as a day, and is never covered', () => {
    const { ready: all } = of([ready({ true: null }), ready({ true: null, latest: 100_000 })])
    expect(all.errorMedian).toBe(24 * 60 - 30)
    expect(all.lateMedian).toBe(30 - 24 * 60)
    expect(all.coverage).toBe(0)
  })

  it('those shown although the true error was within are apart', () => {
    const both = of([ready({ true: 10, already: true }), ready({ true: 30 })])
    expect(both.ready.samples).toBe(2)
    expect(both.readyWhenOver).toMatchObject({ samples: 1, errorMedian: 0, coverage: 100 })
  })
})

describe('verdicts', () => {
  const sick = record({
    shop: 2,
    healthy: false,
    classes: [workClass({ falselyFit: 1, falselyUnfit: 100, falselySettling: 30 })],
  })
  const well = record({
    classes: [
      workClass({ count: { fit: 1000, settling: 0, unfit: 0, unknown: 0 }, changes: 9 }),
      workClass({
        workClass: 'seats',
        count: { fit: 990, settling: 0, unfit: 0, unknown: 10 },
        changes: 5,
      }),
    ],
    machines: [{ machine: 'mill-1', thermostat: true, changesByDay: [12, 2], trueChanges: 3 }],
  })
  const result = score([sick, well])

  it('time falsely fit, falsely unfit and unknown, over all and over healthy shops', () => {
    expect(result.falselyFitPerMillion).toBeCloseTo(1e6 / 3000, 6)
    expect(result.falselyFitOfFitPerMillion).toBeCloseTo(1e6 / 2790, 6)
    expect(result.shopsWithFalselyFit).toBe(1)
    expect(result.falselyUnfitPercent).toBeCloseTo(100 / 30, 6)
    expect(result.falselySettlingPercent).toBeCloseTo(1, 6)
    expect(result.unknownPercent).toBeCloseTo(5000 / 3000, 6)
    expect(result.unknownHealthyPercent).toBeCloseTo(0.5, 6)
  })

  it('changes of a machine and day count all its work classes; rooms without a thermostat are left out of the bar', () => {
    expect(score([well]).verdictChangesPerMachineAndDay).toBe(7)
    expect(score([well]).verdictChangesPerClassAndDay).toBe(3.5)
    const room = record({
      machines: [{ machine: 'mill-9', thermostat: false, changesByDay: [99, 99], trueChanges: 3 }],
    })
    expect(score([well, room]).verdictChangesUnderThermostat).toBe(7)
    expect(score([well, room]).restlessDaysPercent).toBe(50)
    expect(score([well, room]).trueChangesUnderThermostat).toBe(1.5)
  })
})

describe('bars', () => {
  const perfect = record({
    axes: [axis('scale', [0, 0.1], 5)],
    classes: [
      workClass({
        count: { fit: 1000, settling: 0, unfit: 0, unknown: 0 },
        ready: Array.from({ length: 10 }, (_, i) => ready({ true: i === 0 ? 41 : 30 })),
      }),
    ],
    machines: [{ machine: 'mill-1', thermostat: true, changesByDay: [2, 2], trueChanges: 3 }],
  })
  const missedBy = (of: ExamRecord): string[] =>
    bars(score([of]))
      .filter(bar => !isMet(bar))
      .map(({ name }) => name)

  it('are all met by a good record', () => {
    expect(missedBy(perfect)).toEqual([])
  })

  it('each is missed by what it is there for, and by nothing to judge', () => {
    const with_ = (more: Partial<ClassRecord>): ExamRecord => ({
      ...perfect,
      classes: [{ ...perfect.classes[0]!, ...more }],
    })
    expect(missedBy(with_({ falselyFit: 1 }))).toEqual(['falsely fit'])
    expect(missedBy(with_({ falselyUnfit: 51 }))).toEqual(['falsely unfit'])
    expect(missedBy(with_({ count: { fit: 970, settling: 0, unfit: 0, unknown: 30 } }))).toEqual([
      'unknown with healthy sensors',
    ])
    expect(missedBy(with_({ ready: [ready({ likely: 46, latest: 50 })] }))).toEqual([
      'ready time, median error',
      'ready time, coverage of the 90 % interval',
    ])
    expect(missedBy(with_({ ready: [] }))).toHaveLength(2)
    // an interval that always covers is too wide
    expect(missedBy(with_({ ready: [ready({})] }))).toEqual(['ready time, coverage of the 90 % interval'])
    expect(missedBy({ ...perfect, axes: [axis('scale', [1.6], 5)] })).toEqual([
      'growth error, median, all axes',
      'growth error, median, scale',
    ])
    expect(
      missedBy({
        ...perfect,
        machines: [{ machine: 'mill-1', thermostat: true, changesByDay: [13, 0], trueChanges: 3 }],
      }),
    ).toHaveLength(1)
  })
})
