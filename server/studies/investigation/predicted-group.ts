import { offsetBy } from '../../../core/happened/index.js'
import {
  type Course,
  type Examined,
  examine,
  type FeatureParts,
  type PredictedError,
  shareExplained,
} from '../../../core/investigation/index.js'
import type { Machine } from '../../../core/shop.js'
import type { Datum } from '../../../core/state.js'
import type { Past } from '../../history/index.js'
import { columnsIn } from './columns.js'
import { type FeatureGroup, type Measured, repeatability } from './groups.js'
import type { MachinePast } from './machine-past.js'
import type { PastOfCuts } from './past-of-cuts.js'
import { type FeatureMaking, overCut, type Predict, predicting, type Zeroed, zeroedOf } from './predicting.js'

/** What is told of one part: its prediction, or why there is none. */
export interface PartPrediction {
  measured: Measured
  predicted: PredictedError | null
  /** m; what offsets that were changed and entered had made of its size by then */
  offset: number
  missing: 'no such machine' | 'no such axis' | 'temperatures not known' | 'ahead of now' | null
}

/** A feature with what heat predicts of its parts. */
export interface PredictedGroup {
  group: FeatureGroup
  machine: Machine | null
  axis: string | null
  axisFound: boolean
  parts: PartPrediction[]
  /** null where nothing can be predicted */
  made: {
    making: FeatureMaking
    predict: Predict
    zeroed: Zeroed
    /** in order of their time */
    datums: readonly Datum[]
    course: MachinePast
    feature: FeatureParts
  } | null
  found: Examined
}

/** what a part that was cut at each step would be predicted to be */
const courseOf = ({ from, step, count }: MachinePast, predict: Predict): Course => ({
  from: from + step / 2,
  step,
  values: Float64Array.from({ length: count }, (_, i) => predict(from + (i + 0.5) * step)?.error ?? Number.NaN),
})

interface Parts {
  past: Past
  cuts: PastOfCuts
  /** ms */
  now: number
}

const byAxis = async (group: FeatureGroup, machine: Machine, axis: string, { past, cuts, now }: Parts) => {
  const { first, material, parts } = group
  const course = await cuts.course(machine)
  const making = { axis, longer: first.longer, cut: first.cut, zeroed: first.zeroed, nominal: first.nominal, material }
  const zeros = await cuts.zeros(machine)
  const zeroed = zeroedOf(past, course, zeros, making, parts[0]!.at)
  const predict = predicting(course, making, zeroed, past.shop.referenceTemperature)
  const predictions = parts.map((measured): PartPrediction => {
    const offset = offsetBy(zeros.changes, axis, measured.at)
    if (measured.to > now) return { measured, predicted: null, offset, missing: 'ahead of now' }
    const predicted = overCut(predict, measured)
    return { measured, predicted, offset, missing: predicted ? null : 'temperatures not known' }
  })
  const known = predictions.filter(({ predicted }) => predicted)
  const featureParts: FeatureParts = {
    parts: known.map(({ measured, predicted, offset }) => ({
      at: measured.at,
      // what an offset did is known: it is no deviation to be explained
      deviation: measured.deviation.value - offset,
      predicted: predicted!.error,
      uncertainty: predicted!.uncertainty,
    })),
    columns: columnsIn(
      known.map(({ measured }) => measured),
      zeros.changes,
    ),
    course: courseOf(course, predict),
    midnight: cuts.stretch.midnight,
    gauge: repeatability(group),
  }
  return {
    axis,
    parts: predictions,
    made: { making, predict, zeroed, datums: zeros.datums, course, feature: featureParts },
  }
}

/**
 * Predicts a feature's parts and looks whether heat made them. Where the axis is not known, the one that goes best with
 * the deviations is taken, and chance is counted as often as there were axes to choose from.
 */
export const predictGroup = async (group: FeatureGroup, parts: Parts): Promise<PredictedGroup> => {
  const { first } = group
  const machine = parts.past.shop.machines.find(({ id }) => id === first.machine) ?? null
  const nothing = (missing: PartPrediction['missing']): PredictedGroup => ({
    group,
    machine,
    axis: first.axis,
    axisFound: false,
    parts: group.parts.map(measured => ({ measured, predicted: null, offset: 0, missing })),
    made: null,
    found: examine({ parts: [], columns: [], course: { from: 0, step: 1, values: [] } }),
  })
  if (!machine) return nothing('no such machine')
  const axes = machine.axes.flatMap(({ id }) => (first.axis === null || first.axis === id ? [id] : []))
  if (axes.length === 0) return nothing('no such axis')
  const tried: Awaited<ReturnType<typeof byAxis>>[] = []
  for (const axis of axes) tried.push(await byAxis(group, machine, axis, parts))
  const share = ({ made }: { made: { feature: FeatureParts } }) => {
    const value = shareExplained(made.feature.parts)
    return Number.isFinite(value) ? value : Number.NEGATIVE_INFINITY
  }
  const best = tried.reduce((a, b) => (share(b) > share(a) ? b : a))
  const found = examine(best.made.feature)
  const counted = (chance: number | null) => (chance === null ? null : Math.min(1, chance * axes.length))
  return {
    group,
    machine,
    axisFound: first.axis === null,
    ...best,
    found: { ...found, chance: counted(found.chance), chanceHalfDays: counted(found.chanceHalfDays) },
  }
}
