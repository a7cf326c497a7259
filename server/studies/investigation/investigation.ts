import type { Inspection } from '../../../core/inspection/index.js'
import {
  type Assumption,
  bestDelay,
  type Course,
  type CourseAnswer,
  chanceLevel,
  clockOffset,
  concluded,
  examineAll,
  type HeatFinding,
  type HeatFindingAnswer,
  type InvestigatedGroup,
  type InvestigatedPart,
  type InvestigationAnswer,
  type JudgedPart,
  rejectCurve,
  settlesOf,
  type VerdictTable,
  verdictTable,
} from '../../../core/investigation/index.js'
import { holmLevels } from '../../../core/statistics/index.js'
import type { Past } from '../../history/index.js'
import { Turn } from '../../turns.js'
import { workChangesOf } from '../happened/work-changes.js'
import { groupsOf, rejectsIn } from './groups.js'
import type { MachineCourse } from './machine-course.js'
import { type PastOfCuts, pastOfCuts, stretchOf } from './past-of-cuts.js'
import { type PartPrediction, type PredictedGroup, predictGroup } from './predicted-group.js'
import { nearestClass, readShown, type ShownAt } from './shown-verdicts.js'

/** told in full; there may be hundreds */
const mostGroups = 20
const mostParts = 2000
/** values of a course that is drawn */
const mostPoints = 1000
/** s; by which clocks are off that were not put forward or back */
const offsets = [-3600, 3600]
const nanometre = 1e-9

export interface Asked {
  /** id; null: the one that comes nearest to each feature */
  workClass: string | null
  /** ms; by which the times of the cuts are moved */
  moved: number
}

/** What was predicted of inspections, and what is found of them. */
export interface Investigated {
  cuts: PastOfCuts
  /** most rejects first */
  groups: {
    predicted: PredictedGroup
    finding: HeatFinding
    workClass: string | null
    clock: InvestigatedGroup['clock']
  }[]
  all: HeatFinding
}

/** Predicts every feature, and concludes for each by itself, allowing for how many there are, and for all together. */
export const investigate = async (
  past: Past,
  inspections: readonly Inspection[],
  asked: Asked,
  now: number,
): Promise<Investigated> => {
  const groups = groupsOf(inspections, past.shop, asked.moved)
  const cutsAt = groups.flatMap(({ parts }) => [parts[0]!.from, parts.at(-1)!.to])
  const [first, last] = [Math.min(...cutsAt), Math.max(...cutsAt)]
  const stretch = stretchOf(first, last, past.shop)
  const cuts = pastOfCuts(past, stretch)
  const turn = new Turn()
  const predicted: PredictedGroup[] = []
  for (const group of groups) {
    if (turn.isOver) await turn.next()
    predicted.push(await predictGroup(group, { past, cuts, now }))
  }
  const levels = holmLevels(
    predicted.map(({ found }) => found.chance ?? 1),
    chanceLevel,
  )
  return {
    cuts,
    groups: predicted.map((each, i) => {
      const { first: one } = each.group
      const tolerance = one.lower !== null && one.upper !== null ? one.upper - one.lower : null
      return {
        predicted: each,
        finding: concluded(each.found, levels[i]),
        workClass: asked.workClass ?? nearestClass(past.shop, tolerance, one.nominal),
        clock: clockOf(each),
      }
    }),
    all: concluded(examineAll(predicted.flatMap(({ made }) => made?.feature ?? []))),
  }
}

const clockOf = ({ made, parts }: PredictedGroup): InvestigatedGroup['clock'] => {
  if (!made || made.feature.parts.length < 4) return null
  const known = parts.filter(({ predicted }) => predicted)
  return clockOffset(
    made.feature.parts,
    offsets.map(offset => ({
      offset,
      predicted: known.map(({ measured }) => made.predict(measured.at + 1000 * offset)?.error ?? Number.NaN),
    })),
  )
}

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

const airOf = ({ from, step, air }: MachineCourse): Course => ({ from: from + step / 2, step, values: air })

const fitAt = (shownAt: ShownAt, machine: string, workClass: string | null) => (at: number) => {
  const verdict = workClass === null ? null : shownAt(machine, workClass, at)
  return verdict === 'fit' ? 'fit' : verdict === 'settling' || verdict === 'unfit' ? 'not fit' : null
}

const lagOf = ({ made, machine, axis }: PredictedGroup): InvestigatedGroup['lag'] => {
  if (!made || !machine || made.course.airNode === '') return null
  const { parts } = made.feature
  const at = parts.map(part => part.at)
  const air = airOf(made.course)
  const delay = (values: number[]) => (parts.length < 4 ? null : bestDelay(at, values, air))
  const deviations = delay(parts.map(({ deviation }) => deviation))
  const loop = made.course.loopAt(made.course.from).axes.find(each => each.axis.id === axis)
  const heaviest = loop?.elements[0]?.node
  return {
    air: made.course.airNode,
    deviations: deviations?.delay ?? null,
    explained: deviations?.explained ?? null,
    predictions: delay(parts.map(({ predicted }) => predicted))?.delay ?? null,
    timeConstant: machine.nodes.find(({ id }) => id === heaviest)?.timeConstant ?? null,
  }
}

const withSettles = (finding: HeatFinding, clock: boolean, datums: number): HeatFindingAnswer => ({
  ...finding,
  settles: settlesOf(finding, clock, datums),
})

const limit = (value: number | null, nominal: number) => (value === null ? null : value - nominal)

const groupAnswer = (
  { predicted, finding, workClass, clock }: Investigated['groups'][number],
  shownAt: ShownAt,
  midnight: number,
): InvestigatedGroup => {
  const { group, axis, axisFound, made, parts } = predicted
  const { first } = group
  const { part, feature, machine, longer, cut, zeroed, nominal } = first
  const known = parts.filter(each => each.predicted)
  const beyond = (error: number) =>
    (first.lower !== null && error < first.lower - nominal) || (first.upper !== null && error > first.upper - nominal)
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
    lower: limit(first.lower, nominal),
    upper: limit(first.upper, nominal),
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

const tableOf = (
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

const partAnswer = (
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

/** so many at most, rejects before the others, in order of time */
const picked = <T extends { reject: unknown; from: number }>(parts: readonly T[], most: number): T[] => {
  if (parts.length <= most) return [...parts]
  const rejects = parts.filter(({ reject }) => reject)
  const good = parts.filter(({ reject }) => !reject)
  const some = (of: readonly T[], count: number) =>
    count >= of.length ? of : Array.from({ length: count }, (_, i) => of[Math.floor((i * of.length) / count)]!)
  const bad = some(rejects, Math.max(Math.floor(most / 2), most - good.length))
  return [...bad, ...some(good, most - bad.length)].sort((a, b) => a.from - b.from)
}

const assumptionsOf = ({ groups }: Pick<Investigated, 'groups'>, { moved }: Asked): Assumption[] => {
  const found: Assumption[] = []
  const count = (of: (each: Investigated['groups'][number]) => number) =>
    groups.reduce((sum, each) => sum + of(each), 0)
  const datums = new Map<string, number>()
  const missing = new Map<NonNullable<PartPrediction['missing']>, number>()
  for (const { predicted } of groups)
    for (const { measured, missing: why } of predicted.parts) {
      const { machine } = measured.inspection
      if (why) missing.set(why, (missing.get(why) ?? 0) + 1)
      else if (!predicted.made?.zeroed.isRecorded(measured.at)) datums.set(machine, (datums.get(machine) ?? 0) + 1)
    }
  for (const [machine, parts] of datums) found.push({ kind: 'no datum', machine, parts })
  const unsaid = {
    'material not said': count(({ predicted: { group } }) => (group.materialUnsaid ? group.parts.length : 0)),
    'gauge not said': count(
      ({ predicted: { group } }) => group.parts.filter(({ deviation }) => deviation.gaugeUnsaid).length,
    ),
    'limits not said': count(
      ({ predicted: { group } }) =>
        group.parts.filter(({ inspection: { lower, upper } }) => lower === null && upper === null).length,
    ),
  } as const
  for (const kind of ['material not said', 'gauge not said', 'limits not said'] as const)
    if (unsaid[kind] > 0) found.push({ kind, parts: unsaid[kind] })
  for (const [why, parts] of missing) found.push({ kind: 'not predicted', why, parts })
  if (moved !== 0) found.push({ kind: 'clock moved', offset: moved / 1000 })
  return found
}

/**
 * The whole answer: was it heat, by feature and for all.
 *
 * @param whole every feature and part, or as many as a page can show
 */
export const investigationOf = async (
  past: Past,
  inspections: readonly Inspection[],
  asked: Asked,
  now: number,
  whole = false,
): Promise<InvestigationAnswer> => {
  const empty = inspections.length === 0
  const found: Omit<Investigated, 'cuts'> & Partial<Investigated> = empty
    ? { groups: [], all: concluded(examineAll([])) }
    : await investigate(past, inspections, asked, now)
  const midnight = found.cuts?.stretch.midnight ?? 0
  const machines = [...new Set(found.groups.map(({ predicted }) => predicted.group.first.machine))]
  const shownAt = await readShown(past.store, machines, now)
  const told = whole ? found.groups : found.groups.slice(0, mostGroups)
  const turn = new Turn()
  const groups: InvestigatedGroup[] = []
  for (const each of told) {
    if (turn.isOver) await turn.next()
    groups.push(groupAnswer(each, shownAt, midnight))
  }
  const all = told.flatMap(({ predicted, workClass }, i) =>
    predicted.parts.map(part => ({
      part,
      group: i,
      workClass,
      from: part.measured.from,
      reject: part.measured.reject,
    })),
  )
  const parts = whole ? all : picked(all, mostParts)
  const [zeros, changes]: [InvestigationAnswer['datums'], InvestigationAnswer['changes']] = [[], []]
  for (const machine of machines) {
    for (const { at, firstPart } of await past.store.facts.of('datum', { subject: machine }))
      zeros.push({ machine, at, firstPart: firstPart ?? null })
    const { from, to } = found.cuts!.stretch
    changes.push(...(await workChangesOf(past.store, machine)).filter(({ at }) => at >= from && at < to))
  }
  const times = inspections.length > 0 ? found.groups.flatMap(({ predicted }) => predicted.parts) : []
  const assumptions = assumptionsOf(found, asked)
  return {
    at: now,
    from: empty
      ? null
      : times.reduce((least, { measured }) => Math.min(least, measured.from), Number.POSITIVE_INFINITY),
    to: empty ? null : times.reduce((most, { measured }) => Math.max(most, measured.to), Number.NEGATIVE_INFINITY),
    inspections: inspections.length,
    rejects: found.groups.reduce((sum, { predicted }) => sum + rejectsIn(predicted.group), 0),
    all: withSettles(
      found.all,
      found.groups.some(({ clock }) => clock !== null),
      assumptions.reduce((sum, each) => sum + (each.kind === 'no datum' ? each.parts : 0), 0),
    ),
    allVerdicts: empty || past.shop.workClasses.length === 0 ? null : tableOf(found.groups, shownAt, midnight),
    groups,
    groupsLeftOut: found.groups.length - told.length,
    parts: parts
      .map(({ part, group, workClass }) => partAnswer(part, group, workClass, shownAt))
      .sort((a, b) => a.from - b.from || a.inspection - b.inspection),
    partsLeftOut: inspections.length - parts.length,
    datums: zeros,
    changes,
    assumptions,
  }
}
