import type { ThermalLoop } from '../../../core/growth/index.js'
import type { WorkChange } from '../../../core/happened/index.js'
import type { CutSides, Inspection } from '../../../core/inspection/index.js'
import {
  type Making,
  type PredictedError,
  predictedError,
  timesOf,
  type ZeroAt,
} from '../../../core/investigation/index.js'
import { zeroOf } from '../../../core/judge/index.js'
import type { Material } from '../../../core/shop.js'
import type { Datum, OffsetChange } from '../../../core/state.js'
import type { Past } from '../../history/index.js'
import { datumWithOffsets } from '../../offsets.js'
import { workChangesOf } from '../happened/work-changes.js'
import { axisAt, believedAt, type MachinePast } from './machine-past.js'

/** How a feature is made, as far as its prediction depends on it. */
export interface FeatureMaking extends Pick<Inspection, 'longer' | 'zeroed'> {
  axis: string
  cut: CutSides
  /** m */
  nominal: number
  material: Material
}

/** What heat alone predicts of a feature that is cut on a machine at a moment, ms; null where it was not known. */
export type Predict = (at: number) => PredictedError | null

/** What a machine was zeroed by. */
export interface MachineZeros {
  /** in order of their time */
  datums: readonly Datum[]
  offsets: readonly OffsetChange[]
  /** what the shop changed meanwhile, in order of the time at which it was done */
  changes: readonly WorkChange[]
}

export const readZeros = async ({ store }: Pick<Past, 'store'>, machine: string): Promise<MachineZeros> => ({
  datums: (await store.facts.of('datum', { subject: machine })).sort((a, b) => a.at - b.at || a.id - b.id),
  offsets: await store.facts.of('offset'),
  changes: await workChangesOf(store, machine),
})

/** the last that is not later. @param all in order of time */
export const lastAt = <T extends { at: number }>(all: readonly T[], at: number): T | undefined => {
  let [low, high] = [0, all.length]
  while (low < high) {
    const middle = (low + high) >> 1
    if (all[middle]!.at <= at) low = middle + 1
    else high = middle
  }
  return all[low - 1]
}

/**
 * The state of the axis at the datum in force at a moment, with the offsets that were known by then, so that a correction
 * does not read as drift; null where none is on record.
 */
const zeroing = ({ machine, loopAt }: MachinePast, { datums, offsets }: MachineZeros, axisId: string, past: Past) => {
  const known = new Map<ThermalLoop, Map<string, ZeroAt | null>>()
  return (at: number): ZeroAt | null => {
    const datum = lastAt(datums, at)
    if (!datum) return null
    const later = offsets.filter(change => change.at <= at && change.at > datum.at)
    const loop = loopAt(at)
    const byLoop = known.get(loop) ?? new Map<string, ZeroAt | null>()
    known.set(loop, byLoop)
    const key = `${datum.id} ${later.length}`
    const before = byLoop.get(key)
    if (before !== undefined) return before
    const zero = zeroOf(machine, datumWithOffsets(datum, machine, past.shop, later))
    const axis = loop.axes.find(each => each.axis.id === axisId)!
    const then = axisAt(axis, zero.nodes, zero.part)
    const found = Number.isFinite(then.growth) ? { ...then, firstPart: zero.firstPart } : null
    byLoop.set(key, found)
    return found
  }
}

export const makingOf = ({ longer, cut, nominal, material }: FeatureMaking, reference: number): Making => ({
  length: nominal,
  alpha: material.alpha,
  alphaUncertainty: material.alphaUncertainty,
  sign: longer === 'smaller' ? -1 : 1,
  times: timesOf(cut),
  reference,
})

/** What the machine was zeroed by for a cut, and whether that is on record. */
export interface Zeroed {
  zeroAt: (at: number) => ZeroAt | null
  /** whether a datum was in force at a moment, or none was needed */
  isRecorded: (at: number) => boolean
}

/**
 * @param firstCut ms; where no datum is on record, drift counts from then
 */
export const zeroedOf = (
  past: Past,
  course: MachinePast,
  zeros: MachineZeros,
  { axis, zeroed, cut }: Pick<FeatureMaking, 'axis' | 'zeroed' | 'cut'>,
  firstCut: number,
): Zeroed => {
  // no zero has a part in what is cut between two faces, but for a first part
  if (zeroed === 'each part') return { zeroAt: () => null, isRecorded: () => true }
  const datumAt = zeroing(course, zeros, axis, past)
  const first = believedAt(course, axis, firstCut)
  const assumed = first && { ...first.now, firstPart: false }
  return {
    zeroAt: at => datumAt(at) ?? assumed,
    isRecorded: at => timesOf(cut) === 0 || datumAt(at) !== null,
  }
}

/** Predictions of a feature on a machine. */
export const predicting = (
  course: MachinePast,
  feature: FeatureMaking,
  { zeroAt }: Pick<Zeroed, 'zeroAt'>,
  reference: number,
): Predict => {
  const making = makingOf(feature, reference)
  return at => {
    const found = believedAt(course, feature.axis, at)
    return found && predictedError(making, found.now, zeroAt(at), found.variances)
  }
}

/** ms; a cut that takes longer is looked at in several moments */
const looks = 5

/** The mean over a cut, and how much it moved within it as part of the uncertainty; null where it was not known. */
export const overCut = (predict: Predict, { from, to }: { from: number; to: number }): PredictedError | null => {
  if (to - from < 60_000) return predict((from + to) / 2)
  const found = Array.from({ length: looks }, (_, i) => predict(from + ((to - from) * i) / (looks - 1)))
  const known = found.flatMap(each => each ?? [])
  if (known.length < looks) return predict((from + to) / 2)
  const mean = (of: (each: PredictedError) => number) => known.reduce((sum, each) => sum + of(each) / looks, 0)
  const error = mean(each => each.error)
  return {
    error,
    sizeError: mean(each => each.sizeError),
    drift: mean(each => each.drift),
    tilt: mean(each => each.tilt),
    uncertainty: Math.hypot(
      mean(each => each.uncertainty),
      Math.sqrt(mean(each => (each.error - error) ** 2)),
    ),
  }
}
