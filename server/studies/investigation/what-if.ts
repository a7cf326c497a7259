import { DateTime } from 'luxon'
import type { Inspection } from '../../../core/inspection/index.js'
import {
  type Change,
  type PartOtherwise,
  predictedError,
  type WhatIfAnswer,
  whatIf,
  type ZeroAt,
} from '../../../core/investigation/index.js'
import type { Machine } from '../../../core/shop.js'
import type { Past } from '../../history/index.js'
import { limitsOf } from './groups.js'
import { type Asked, investigate } from './investigation.js'
import { axisAt, believedAt } from './machine-past.js'
import type { PastOfCuts } from './past-of-cuts.js'
import type { PredictedGroup } from './predicted-group.js'
import { lastAt, makingOf, overCut, type Predict, predicting, zeroedOf } from './predicting.js'

/** features that are told of */
const mostGroups = 20
/** parts whose deviations are told one by one */
const mostDeviations = 2000
const day = 86_400_000

type Made = NonNullable<PredictedGroup['made']>

/** machine, part and zero all at one temperature: nothing moves any more */
const held =
  ({ course, making }: Made, temperature: number, reference: number): Predict =>
  at => {
    const axis = course.loopAt(at).axes.find(each => each.axis.id === making.axis)!
    const found = believedAt(course, making.axis, at)
    if (!found) return null
    const now = axisAt(
      axis,
      course.machine.nodes.map(() => temperature),
      temperature,
    )
    return predictedError(makingOf(making, reference), now, null, found.variances)
  }

/** the moments of a time of day by the shop's clock, ms, over a stretch */
const momentsOf = (clock: string, { from, to }: { from: number; to: number }, zone: string): { at: number }[] => {
  const [hour, minute] = clock.split(':').map(Number) as [number, number]
  const found: { at: number }[] = []
  for (let at = DateTime.fromMillis(from, { zone }).startOf('day'); at.toMillis() < to; at = at.plus({ days: 1 }))
    found.push({ at: at.set({ hour, minute }).toMillis() })
  return found
}

/** zeroed again each day at a time, in the way of the zero that was in force */
const again = (
  { course, datums, making, zeroed: { zeroAt } }: Made,
  clock: string,
  { cuts, past }: { cuts: PastOfCuts; past: Past },
): Predict => {
  const { timeZone, referenceTemperature } = past.shop
  const moments = momentsOf(clock, cuts.stretch, timeZone).flatMap(({ at }) => {
    const found = believedAt(course, making.axis, at)
    return found ? [{ at, ...found.now, firstPart: zeroAt(at)?.firstPart ?? false }] : []
  })
  const then = (at: number): ZeroAt | null => {
    const latest = lastAt(moments, at)
    // what was zeroed later than that in truth stays
    const recorded = lastAt(datums, at)
    return latest && at - latest.at < day && !(recorded && recorded.at > latest.at) ? latest : zeroAt(at)
  }
  return predicting(course, making, { zeroAt: then }, referenceTemperature)
}

const elsewhere = async (
  { making }: Made,
  firstCut: number,
  machine: Machine,
  { cuts, past }: { cuts: PastOfCuts; past: Past },
): Promise<Predict | null> => {
  if (!machine.axes.some(({ id }) => id === making.axis)) return null
  const course = await cuts.course(machine)
  const zeroed = zeroedOf(past, course, await cuts.zeros(machine), making, firstCut)
  return predicting(course, making, zeroed, past.shop.referenceTemperature)
}

const otherwise = async (
  change: Change,
  of: PredictedGroup,
  made: Made,
  context: { cuts: PastOfCuts; past: Past },
): Promise<Predict | null> => {
  switch (change.kind) {
    case 'held':
      return held(made, change.temperature, context.past.shop.referenceTemperature)
    case 'datum again':
      // each part is zeroed by itself as it is
      return of.group.first.zeroed === 'each part' ? null : again(made, change.clock, context)
    case 'machine': {
      const machine = context.past.shop.machines.find(({ id }) => id === change.machine)
      return machine && machine !== of.machine ? elsewhere(made, of.parts[0]!.measured.at, machine, context) : null
    }
    case 'hour':
      return at => made.predict(at + 1000 * change.offset)
  }
}

/**
 * What the same parts would have been like. A feature's case is left out where the change is none to it.
 *
 * @param inspections in order of their cut
 */
export const whatIfOf = async (
  past: Past,
  inspections: readonly Inspection[],
  changes: readonly Change[],
  asked: Asked,
  now: number,
): Promise<WhatIfAnswer> => {
  if (inspections.length === 0) return { at: now, groups: [] }
  const { groups: found, cuts } = await investigate(past, inspections, asked, now)
  const groups: WhatIfAnswer['groups'] = []
  for (const { predicted, finding } of found.slice(0, mostGroups)) {
    const { part, feature, machine } = predicted.group.first
    const cases: WhatIfAnswer['groups'][number]['cases'] = []
    for (const change of changes) {
      const predict = predicted.made && (await otherwise(change, predicted, predicted.made, { cuts, past }))
      if (!predict) continue
      const parts = predicted.parts.flatMap(({ measured, predicted: as, offset }): PartOtherwise[] => {
        const then = overCut(predict, measured)
        if (!as || !then) return []
        const { inspection, deviation } = measured
        return [
          {
            inspection: inspection.id,
            deviation: deviation.value,
            offset,
            ...limitsOf(inspection),
            predicted: as.error,
            otherwise: then.error,
            uncertainty: as.uncertainty,
          },
        ]
      })
      if (parts.length === 0) continue
      const told = whatIf(change, parts)
      cases.push({ ...told, deviations: told.deviations.slice(0, mostDeviations) })
    }
    groups.push({ part, feature, machine, conclusion: finding.conclusion, cases })
  }
  return { at: now, groups }
}
