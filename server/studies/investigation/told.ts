import {
  bestDelay,
  type Course,
  type CourseAnswer,
  type HeatFinding,
  type HeatFindingAnswer,
  type InvestigatedGroup,
  type InvestigatedPart,
  type JudgedPart,
  rejectCurve,
  settlesOf,
  type VerdictTable,
  verdictTable,
} from '../../../core/investigation/index.js'
import { limitsOf, rejectsIn } from './groups.js'
import type { Investigated } from './investigation.js'
import type { MachinePast } from './machine-past.js'
import type { PartPrediction, PredictedGroup } from './predicted-group.js'
import type { ShownAt } from './shown-verdicts.js'

// What is found of features and parts, as it is answered.

/** values of a course that is drawn */
const mostPoints = 1000
const nanometre = 1e-9

const rounded = (value: number, step: number): number | null =>
  Number.isFinite(value) ? Number((Math.round(value / step) * step).toPrecision(12)) : null

/** @param unit rounded to this */
const shown = ({ from, step, values }: Course, unit: number): CourseAnswer => {
  const joined = Math.max(1, Math.ceil(values.length / mostPoints))
  return {
    from: from + ((joined - 1) * step) / 2,
    step: step * joined,
    values: Array.from({ length: Math.ceil(values.length / joined) }, (_, i) => {
      let [sum, count] = [0, 0]
      for (let k = i * joined; k < Math.min((i + 1) * joined, values.length); k++)
        if (Number.isFinite(values[k])) {
          sum += values[k]!
          count += 1
        }
      return rounded(sum / count, unit)
    }),
  }
}

const nothingShown: CourseAnswer = { from: 0, step: 1, values: [] }

const airOf = ({ from, step, air }: MachinePast): Course => ({ from: from + step / 2, step, values: air })

const fitAt = (shownAt: ShownAt, machine: string, workClass: string | null) => (at: number) => {
  const verdict = workClass === null ? null : shownAt(machine, workClass, at)
  return verdict === 'fit' ? 'fit' : verdict === 'settling' || verdict === 'unfit' ? 'not fit' : null
}

const lagOf = ({ made, machine, axis }: PredictedGroup): InvestigatedGroup['lag'] => {
  if (!made || !machine || made.course.airNode === '') return null
  const { parts } = made.feature
  const at = parts.map(part => part.at)
  const air = airOf(made.course)
  const bodies = made.course.loopAt(made.course.from).axes.find(each => each.axis.id === axis)?.nodes ?? []
  const timeConstants = bodies.flatMap(node => machine.nodes[node]?.timeConstant ?? [])
  const slowest = timeConstants.length > 0 ? Math.max(...timeConstants) : null
  const delay = (values: number[]) => (parts.length < 4 ? null : bestDelay(at, values, air, slowest))
  const deviations = delay(parts.map(({ deviation }) => deviation))
  return {
    air: made.course.airNode,
    deviations: deviations?.delay ?? null,
    explained: deviations?.explained ?? null,
    predictions: delay(parts.map(({ predicted }) => predicted))?.delay ?? null,
    slowest,
  }
}

export const withSettles = (finding: HeatFinding, clock: boolean, datums: number): HeatFindingAnswer => ({
  ...finding,
  settles: settlesOf(finding, clock, datums),
})

export const groupAnswer = (
  { predicted, finding, workClass, clock }: Investigated['groups'][number],
  shownAt: ShownAt,
  midnight: number,
): InvestigatedGroup => {
  const { group, axis, axisFound, made, parts } = predicted
  const { first } = group
  const { part, feature, machine, longer, cut, zeroed, nominal } = first
  const known = parts.filter(each => each.predicted)
  const { lower, upper } = limitsOf(first)
  const beyond = (error: number) => (lower !== null && error < lower) || (upper !== null && error > upper)
  const unrecorded = made ? known.filter(({ measured }) => !made.zeroed.isRecorded(measured.at)).length : 0
  return {
    part,
    feature,
    machine,
    axis,
    axisFound,
    longer,
    cut,
    zeroed,
    nominal,
    lower,
    upper,
    inspections: parts.length,
    rejects: rejectsIn(group),
    rejectsPredicted: known.filter(({ measured, predicted: of }) => measured.reject && beyond(of!.error)).length,
    finding: withSettles(finding, clock !== null, unrecorded),
    verdicts: workClass === null ? null : tableOf([{ predicted, workClass }], shownAt, midnight),
    curve: rejectCurve(
      known.map(each => each.predicted!.error),
      known.map(({ measured }) => measured.reject !== null),
    ),
    lag: lagOf(predicted),
    clock,
    course: made ? shown(made.feature.course, nanometre) : nothingShown,
    uncertainty: made ? shown(uncertaintyOver(made), nanometre) : nothingShown,
    air: made ? shown(airOf(made.course), 0.001) : nothingShown,
  }
}

/** m, standard; of the prediction at some moments, which a picture's band is drawn of */
const uncertaintyOver = ({ predict, course }: NonNullable<PredictedGroup['made']>): Course => {
  const joined = Math.max(1, Math.ceil(course.count / mostPoints))
  const step = course.step * joined
  return {
    from: course.from + step / 2,
    step,
    values: Float64Array.from(
      { length: Math.ceil(course.count / joined) },
      (_, i) => predict(course.from + (i + 0.5) * step)?.uncertainty ?? Number.NaN,
    ),
  }
}

export const tableOf = (
  groups: readonly { predicted: PredictedGroup; workClass: string | null }[],
  shownAt: ShownAt,
  midnight: number,
): VerdictTable => {
  const parts: JudgedPart[] = []
  const of: ReturnType<typeof fitAt>[] = []
  for (const { predicted, workClass } of groups) {
    const shown = fitAt(shownAt, predicted.group.first.machine, workClass)
    for (const { measured } of predicted.parts) {
      parts.push({ at: measured.at, reject: measured.reject !== null })
      of.push(shown)
    }
  }
  const classes = new Set(groups.map(({ workClass }) => workClass))
  return verdictTable(classes.size === 1 ? [...classes][0]! : null, parts, (at, part) => of[part]!(at), midnight)
}

export const partAnswer = (
  { measured, predicted, offset, missing }: PartPrediction,
  group: number,
  workClass: string | null,
  shownAt: ShownAt,
): InvestigatedPart => {
  const { inspection, from, to, at, deviation, reject } = measured
  const { id, machine, serial, tool, toolCount, lot, setup, who, note } = inspection
  return {
    inspection: id,
    group,
    serial,
    from,
    to,
    deviation: deviation.value,
    offset,
    deviationUncertainty: deviation.uncertainty,
    reject,
    predicted,
    missing,
    verdict: workClass === null ? null : shownAt(machine, workClass, at),
    tool,
    toolCount,
    lot,
    setup,
    who,
    note,
  }
}
