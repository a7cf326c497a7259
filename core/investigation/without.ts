import type { CutSides } from '../inspection/index.js'
import type { WhatIfAnswer } from '../shop-model/index.js'
import type { InvestigatedPart } from './answer.js'
import { timesOf } from './predicted.js'
import { isReject, type PartOtherwise } from './what-if.js'

/** Growth where the work is held as it was, and as it would have been; null where it is not known. m */
type GrowthOtherwise = Omit<WhatIfAnswer['axes'][number], 'axis'>

/** The place of the moment nearest to another one; −1 where there is none. */
const indexAt = (at: readonly number[], moment: number): number => {
  const before = Math.max(
    0,
    at.findLastIndex(each => each <= moment),
  )
  const after = Math.min(before + 1, at.length - 1)
  return moment - (at[before] ?? 0) <= (at[after] ?? 0) - moment ? before : after
}

/**
 * Deviations of the same parts had growth gone otherwise: only the drift of the zero changes, as often as it counts in the
 * size. What it does to the length of the feature itself is left out: it is small beside the drift.
 *
 * @param datums ms; moments at which zero was taken: what growth was otherwise then was taken away with it
 * @param zeroedEach zero was taken for each part, so that a drift before it does not count
 * @returns rejects as it was and otherwise, with the 90 % interval of the latter, among the parts that can be told
 */
export const rejectsOtherwise = (
  parts: readonly Pick<InvestigatedPart, 'from' | 'to' | 'deviation'>[],
  course: GrowthOtherwise,
  limits: Pick<PartOtherwise, 'lower' | 'upper'>,
  cut: CutSides,
  zeroedEach: boolean,
  datums: readonly number[],
): { parts: number; asItWas: number; rejects: { value: number; low: number; high: number } } => {
  const counts = zeroedEach ? 0 : timesOf(cut)
  const change = (of: readonly (number | null)[], moment: number): number => {
    const i = indexAt(course.at, moment)
    const [then, was] = [of[i] ?? null, course.was[i] ?? null]
    return then === null || was === null ? Number.NaN : then - was
  }
  const first = course.at[0] ?? Number.POSITIVE_INFINITY
  const [told, low, high, without] = [[], [], [], []] as [number[], number[], number[], number[]]
  for (const { from, to, deviation } of parts) {
    const moment = (from + to) / 2
    const datum = datums.findLast(at => at <= moment)
    const at = (of: readonly (number | null)[]) =>
      deviation + counts * (change(of, moment) - (datum !== undefined && datum >= first ? change(of, datum) : 0))
    const otherwise = at(course.without)
    if (!Number.isFinite(otherwise)) continue
    told.push(deviation)
    without.push(otherwise)
    low.push(at(course.low))
    high.push(at(course.high))
  }
  const rejects = (all: readonly number[]) => all.filter(deviation => isReject(deviation, limits)).length
  const value = rejects(without)
  const ends = [rejects(low), rejects(high), value]
  return {
    parts: told.length,
    asItWas: rejects(told),
    rejects: { value, low: Math.min(...ends), high: Math.max(...ends) },
  }
}
