import { quantile } from './quantile.js'
import { latestTruth, type ReadySample } from './ready.js'
import { type AxisRecord, type AxisType, axisTypes, type ExamRecord } from './records.js'

/** Growth against the truth, µm, over one axis or many. */
interface GrowthScore {
  errorMedian: number
  error95: number
  /** median of the absolute true growth */
  growthMedian: number
  /**
   * error ÷ what is allowed, sample by sample: its median with 1.5 µm or 10 % of the true growth allowed, whichever is
   * larger, and its 95th percentile with 3 µm or 20 %. The bar holds while these do not exceed 1.
   */
  medianOfAllowed: number
  part95OfAllowed: number
}

interface AxisScore extends GrowthScore {
  machine: string
  axis: string
}

interface TypeScore extends GrowthScore {
  type: AxisType
  axes: number
}

export interface ReadyScore {
  samples: number
  /** |shown likely − true|, min */
  errorMedian: number
  /** median of shown − true, min: positive when shown too late */
  lateMedian: number
  /** share of true moments within [earliest, latest], % */
  coverage: number
}

export interface Score {
  axes: AxisScore[]
  types: TypeScore[]
  growth: GrowthScore
  /** within working hours only: nights and weekends are easier */
  growthAtWork: GrowthScore
  /** all ready times found; and those where there was something to wait for: the true error was over the share */
  ready: ReadyScore
  readyWhenOver: ReadyScore
  settlingWithoutTimePercent: number
  falselyFitPerMillion: number
  falselyFitOfFitPerMillion: number
  falselyFitInstantPerMillion: number
  shopsWithFalselyFit: number
  falselyUnfitPercent: number
  falselySettlingPercent: number
  /** falsely unfit although the true error with the stated expanded uncertainty was within the share, % of all samples */
  unguardedUnfitPercent: number
  fitPercent: number
  settlingPercent: number
  unfitPercent: number
  unknownPercent: number
  /** shops without a sensor fault */
  unknownHealthyPercent: number
  verdictChangesPerMachineAndDay: number
  verdictChangesPerClassAndDay: number
  /** machines in air that a thermostat keeps, all their work classes together */
  verdictChangesUnderThermostat: number
  /** of the same machines, how often the true error itself crossed the share: what a perfect verdict would show */
  trueChangesUnderThermostat: number
  /** of their days, how many had more than six, % */
  restlessDaysPercent: number
}

/** min; ready times are judged where the wait, shown or true, is shorter */
const judgedWait = 8 * 60

const sum = (values: number[]): number => values.reduce((a, b) => a + b, 0)
const ratio = (part: number, whole: number): number => (whole > 0 ? part / whole : Number.NaN)

const growthScore = (records: readonly AxisRecord[], onlyWorking = false): GrowthScore => {
  const errors: number[] = []
  const growths: number[] = []
  const ofMedian: number[] = []
  const of95: number[] = []
  for (const { predicted, true: truth, working } of records)
    predicted.forEach((value, i) => {
      if (onlyWorking && !working[i]) return
      const error = Math.abs(value - truth[i]!) * 1e6
      const growth = Math.abs(truth[i]!) * 1e6
      errors.push(error)
      growths.push(growth)
      ofMedian.push(error / Math.max(1.5, 0.1 * growth))
      of95.push(error / Math.max(3, 0.2 * growth))
    })
  return {
    errorMedian: quantile(errors, 0.5),
    error95: quantile(errors, 0.95),
    growthMedian: quantile(growths, 0.5),
    medianOfAllowed: quantile(ofMedian, 0.5),
    part95OfAllowed: quantile(of95, 0.95),
  }
}

const readyScore = (samples: readonly ReadySample[]): ReadyScore => {
  const judged = samples.filter(s => s.likely < judgedWait || (s.true !== null && s.true < judgedWait))
  const late = judged.map(s => s.likely - (s.true ?? latestTruth))
  const covered = judged.filter(s => s.true !== null && s.earliest <= s.true && s.true <= s.latest)
  return {
    samples: judged.length,
    errorMedian: quantile(late.map(Math.abs), 0.5),
    lateMedian: quantile(late, 0.5),
    coverage: 100 * ratio(covered.length, judged.length),
  }
}

/** Figures of an examination; several shops' records may be put together. */
export const score = (records: readonly ExamRecord[]): Score => {
  const allAxes = records.flatMap(record => record.axes)
  const classes = records.flatMap(record => record.classes)
  const samples = sum(classes.map(c => c.samples))
  const fit = sum(classes.map(c => c.count.fit))
  const falselyFit = sum(classes.map(c => c.falselyFit))
  const changes = sum(classes.map(c => c.changes))
  const healthy = records.filter(record => record.healthy).flatMap(record => record.classes)
  const ready = classes.flatMap(c => c.ready)
  const restful = records.flatMap(r => r.machines.filter(m => m.thermostat).map(m => ({ ...m, days: r.counted })))
  const days = restful.flatMap(m => m.changesByDay)
  const percent = (of: 'fit' | 'settling' | 'unfit' | 'unknown', among = classes) =>
    100 * ratio(sum(among.map(c => c.count[of])), sum(among.map(c => c.samples)))
  return {
    axes: allAxes.map(record => ({ machine: record.machine, axis: record.axis, ...growthScore([record]) })),
    types: axisTypes
      .map(type => ({ type, of: allAxes.filter(axis => axis.type === type) }))
      .filter(({ of }) => of.length > 0)
      .map(({ type, of }) => ({ type, axes: of.length, ...growthScore(of) })),
    growth: growthScore(allAxes),
    growthAtWork: growthScore(allAxes, true),
    ready: readyScore(ready),
    readyWhenOver: readyScore(ready.filter(s => !s.already)),
    settlingWithoutTimePercent:
      100 * ratio(sum(classes.map(c => c.settlingWithoutTime)), sum(classes.map(c => c.settling))),
    falselyFitPerMillion: 1e6 * ratio(falselyFit, samples),
    falselyFitOfFitPerMillion: fit ? (1e6 * falselyFit) / fit : 0,
    falselyFitInstantPerMillion: 1e6 * ratio(sum(classes.map(c => c.falselyFitInstant)), samples),
    shopsWithFalselyFit: records.filter(record => record.classes.some(c => c.falselyFit > 0)).length,
    falselyUnfitPercent: 100 * ratio(sum(classes.map(c => c.falselyUnfit)), samples),
    unguardedUnfitPercent: 100 * ratio(sum(classes.map(c => c.falselyUnfit - c.guarded)), samples),
    falselySettlingPercent: 100 * ratio(sum(classes.map(c => c.falselySettling)), samples),
    fitPercent: percent('fit'),
    settlingPercent: percent('settling'),
    unfitPercent: percent('unfit'),
    unknownPercent: percent('unknown'),
    unknownHealthyPercent: percent('unknown', healthy),
    verdictChangesPerMachineAndDay: ratio(changes, sum(records.map(r => r.machines.length * r.counted))),
    verdictChangesPerClassAndDay: ratio(changes, sum(records.map(r => r.classes.length * r.counted))),
    verdictChangesUnderThermostat: ratio(sum(days), sum(restful.map(m => m.days))),
    trueChangesUnderThermostat: ratio(sum(restful.map(m => m.trueChanges)), sum(restful.map(m => m.days))),
    restlessDaysPercent: 100 * ratio(days.filter(n => n > 6).length, days.length),
  }
}
