import type { Inspection } from '../../../core/inspection/index.js'
import {
  type Assumption,
  chanceLevel,
  clockOffset,
  concluded,
  examineAll,
  type HeatFinding,
  type InvestigatedGroup,
  type InvestigationAnswer,
} from '../../../core/investigation/index.js'
import { highest, holmLevels, lowest } from '../../../core/statistics/index.js'
import type { Past } from '../../history/index.js'
import { Turn } from '../../turns.js'
import { workChangesOf } from '../happened/work-changes.js'
import { type FeatureGroup, groupsOf, type Measured, rejectsIn } from './groups.js'
import { type PastOfCuts, pastOfCuts, stretchOf } from './past-of-cuts.js'
import { type PartPrediction, type PredictedGroup, predictGroup } from './predicted-group.js'
import { nearestClass, readShown } from './shown-verdicts.js'
import { groupAnswer, partAnswer, tableOf, withSettles } from './told.js'

/** told in full; there may be hundreds */
const mostGroups = 20
const mostParts = 2000
/** s; by which clocks are off that were not put forward or back */
const offsets = [-3600, 3600]

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
  const datums = new Map<string, number>()
  const missing = new Map<NonNullable<PartPrediction['missing']>, number>()
  for (const { predicted } of groups)
    for (const { measured, missing: why } of predicted.parts) {
      const { machine } = measured.inspection
      if (why) missing.set(why, (missing.get(why) ?? 0) + 1)
      else if (!predicted.made?.zeroed.isRecorded(measured.at)) datums.set(machine, (datums.get(machine) ?? 0) + 1)
    }
  for (const [machine, parts] of datums) found.push({ kind: 'no datum', machine, parts })
  const unsaid = (
    kind: 'material not said' | 'gauge not said' | 'limits not said',
    isUnsaid: (part: Measured, group: FeatureGroup) => boolean,
  ) => {
    const alike = groups.map(({ predicted: { group } }) => group.parts.filter(part => isUnsaid(part, group)).length)
    const parts = alike.reduce((sum, each) => sum + each, 0)
    if (parts > 0) found.push({ kind, parts })
  }
  unsaid('material not said', (_, { materialUnsaid }) => materialUnsaid)
  unsaid('gauge not said', ({ deviation }) => deviation.gaugeUnsaid)
  unsaid('limits not said', ({ inspection: { lower, upper } }) => lower === null && upper === null)
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
    predicted.parts.map(part => partAnswer(part, i, workClass, shownAt)),
  )
  const parts = whole ? all : picked(all, mostParts)
  const [zeros, changes]: [InvestigationAnswer['datums'], InvestigationAnswer['changes']] = [[], []]
  for (const machine of machines) {
    for (const { at, firstPart } of await past.store.facts.of('datum', { subject: machine }))
      zeros.push({ machine, at, firstPart: firstPart ?? null })
    const { from, to } = found.cuts!.stretch
    changes.push(...(await workChangesOf(past.store, machine)).filter(({ at }) => at >= from && at < to))
  }
  const cut = found.groups.flatMap(({ predicted }) => predicted.parts.map(({ measured }) => measured))
  const assumptions = assumptionsOf(found, asked)
  return {
    at: now,
    from: empty ? null : lowest(cut.map(({ from }) => from)),
    to: empty ? null : highest(cut.map(({ to }) => to)),
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
    parts: parts.sort((a, b) => a.from - b.from || a.inspection - b.inspection),
    partsLeftOut: inspections.length - parts.length,
    datums: zeros,
    changes,
    assumptions,
  }
}
