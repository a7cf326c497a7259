import type { ExamRecord } from './examine.js'
import { quantile } from './quantile.js'

/** Growth of one axis against the truth, µm. */
export interface AxisScore {
  machine: string
  axis: string
  errorMedian: number
  error95: number
  /** median of the absolute true growth */
  growthMedian: number
  /** 1.5 µm or 10 % of the true growth, whichever is larger */
  allowedMedian: number
}

export interface Score {
  axes: AxisScore[]
  growthErrorMedianMicrometres: number
  growthError95Micrometres: number
  falselyFitPerMillion: number
  falselyFitOfFitPerMillion: number
  falselyFitInstantPerMillion: number
  falselyUnfitPercent: number
  fitPercent: number
  unknownPercent: number
  verdictChangesPerMachineAndDay: number
}

const sum = (values: number[]): number => values.reduce((a, b) => a + b, 0)

/** Figures of an examination; several shops' records may be put together. */
export const score = (records: readonly ExamRecord[]): Score => {
  const axes = records.flatMap(record =>
    record.axes.map(({ machine, axis, predicted, true: truth }): AxisScore => {
      const errors = predicted.map((p, i) => Math.abs(p - truth[i]!) * 1e6)
      const growthMedian = quantile(
        truth.map(t => Math.abs(t) * 1e6),
        0.5,
      )
      return {
        machine,
        axis,
        errorMedian: quantile(errors, 0.5),
        error95: quantile(errors, 0.95),
        growthMedian,
        allowedMedian: Math.max(1.5, 0.1 * growthMedian),
      }
    }),
  )
  const all = records.flatMap(record =>
    record.axes.flatMap(({ predicted, true: truth }) => predicted.map((p, i) => Math.abs(p - truth[i]!) * 1e6)),
  )
  const classes = records.flatMap(record => record.classes)
  const samples = sum(classes.map(c => c.samples))
  const fit = sum(classes.map(c => c.count.fit))
  const falselyFit = sum(classes.map(c => c.falselyFit))
  const machineDays = sum(records.map(r => new Set(r.classes.map(c => c.machine)).size * r.days))
  const classesPerMachine = records[0] ? new Set(records[0].classes.map(c => c.workClass)).size : 1
  return {
    axes,
    growthErrorMedianMicrometres: quantile(all, 0.5),
    growthError95Micrometres: quantile(all, 0.95),
    falselyFitPerMillion: (1e6 * falselyFit) / samples,
    falselyFitOfFitPerMillion: fit ? (1e6 * falselyFit) / fit : 0,
    falselyFitInstantPerMillion: (1e6 * sum(classes.map(c => c.falselyFitInstant))) / samples,
    falselyUnfitPercent: (100 * sum(classes.map(c => c.falselyUnfit))) / samples,
    fitPercent: (100 * fit) / samples,
    unknownPercent: (100 * sum(classes.map(c => c.count.unknown))) / samples,
    verdictChangesPerMachineAndDay: sum(classes.map(c => c.changes)) / machineDays / classesPerMachine,
  }
}
