import { median, quantile } from '../statistics/index.js'

// The limits in this file are judgement, no source, held against healthy machines and rooms of the test bed.
/** s; how often it is noted where a sensor stands */
export const levelSpacing = 1800
/** values; a day with fewer has no level */
const enoughOfADay = 24
/** days before anything is said: what work, weather and weekend bring is not known before */
const learning = 7
/** days over which what is usual is learned */
const memory = 20
/** a day's deviation in steps of its usual size: what nobody counts, and the most that one day can count for */
const counted = { beyond: 1, most: 4 }
/** sum of a drift's evidence. With independent normal days: a false alarm in thousands of years; days are not that */
const driftFound = 14
/** K; a day's deviation is never taken to be usually smaller, and a smaller drift is not worth a doubt */
const least = { deviation: 0.1, drift: 0.4 }
/**
 * A sensor strays when it has been off by `least` K and by `factor` times the furthest it ever was, for `values` values in a row, and
 * more than the part `alone` of that is its own and not common to all of its machine.
 */
const strayed = { least: 1, factor: 2, values: 4, alone: 0.5 }
/** 0..1; part of the furthest it has been that is kept from day to day */
const kept = 0.98

/**
 * How far one sensor usually stands above what its body follows, the air or coolant delayed by the body's time constant.
 * Own heat only adds to that, so the level of a day is its lower quartile: that of its quiet hours.
 */
export interface UsualLevel {
  /** on which it was watched */
  days: number
  /** K; usual level of a day */
  base: number
  /** K; mean size of a day's deviation from it, once what all of the machine share is taken out */
  spread: number
  /** K; furthest from the base that it has been for two hours */
  above: number
  below: number
  /** sums of evidence for a drift up and down, cumulative sums after Page 1954 (Biometrika 41, 100) */
  rising: number
  falling: number
}

/** Before anything was watched. */
export const noUsualLevel: UsualLevel = { days: 0, base: 0, spread: 0, above: 0, below: 0, rising: 0, falling: 0 }

/** The level of a day, K. @param values K above what it follows; NaN when too few are known */
export const levelOfDay = (values: readonly number[]): number =>
  values.length < enoughOfADay ? Number.NaN : quantile(values, 0.25)

/**
 * What all of a machine's sensors are off by: a season, or their reference that drifts, moves them together. The
 * reference stands at 0 by itself, so it is then the one that deviates.
 *
 * @param offs K, of each from its base; of the reference 0; NaN where it is not known
 * @returns K; NaN where fewer than three are known: of two nobody can tell which one deviates
 */
export const commonShift = (offs: readonly number[]): number => {
  const known = offs.filter(off => !Number.isNaN(off))
  return known.length < 3 ? Number.NaN : median(known)
}

/** Factor on what is known from few days, and so not known well. */
const unsure = (days: number): number => 1 + 2 / days

/** A day's deviation in steps of its usual size. @param excess K; its deviation from the base beyond that of all */
export const stepsOff = ({ days, spread }: UsualLevel, excess: number): number =>
  excess / (Math.max(least.deviation, 1.25 * spread) * unsure(days + 1))

/**
 * How unusual a time is for a machine: weather and work that it has not seen move its places each in its own way, and so
 * what one of them does says the less of its sensor, the more the others do what they seldom do.
 *
 * @param others each of the others' deviation in steps of its usual size, or as a part of the furthest it has been
 * @returns 1 where it is not
 */
const unusualBy = (others: readonly number[]): number => {
  const known = others.map(Math.abs).filter(off => !Number.isNaN(off))
  return known.length < 2 ? 1 : Math.max(1, quantile(known, 0.75))
}

/**
 * One more day.
 *
 * @param values K above what it follows, in the day
 * @param level K, `levelOfDay`
 * @param excess K; its deviation from the base beyond that of all, see `commonShift`
 * @param others see `unusualBy`
 * @param doubted while it is, only the evidence goes on
 */
export const levelAfter = (
  of: UsualLevel,
  values: readonly number[],
  level: number,
  excess: number,
  others: readonly number[],
  doubted: boolean,
): UsualLevel => {
  if (of.days === 0) return { ...of, days: 1, base: level }
  const days = of.days + 1
  const steps = Math.max(-counted.most, Math.min(counted.most, stepsOff(of, excess) / unusualBy(others)))
  const evidence = (sum: number, for_: number): number =>
    days <= learning ? 0 : Math.min(2 * driftFound, Math.max(0, sum + for_ - counted.beyond))
  const next = { ...of, rising: evidence(of.rising, steps), falling: evidence(of.falling, -steps) }
  if (doubted) return next
  const sorted = values.map(value => value - of.base).sort((a, b) => a - b)
  const weight = 1 / Math.min(days, memory)
  return {
    ...next,
    days,
    base: of.base + weight * (level - of.base),
    spread: of.spread + weight * (Math.abs(excess) - of.spread),
    above: Math.max(kept * of.above, sorted.at(-strayed.values)!),
    below: Math.max(kept * of.below, -sorted[strayed.values - 1]!),
  }
}

/** Whether it has drifted, day by day. @param excess K, of the last day */
export const hasDrifted = ({ rising, falling }: UsualLevel, excess: number): boolean =>
  Math.max(rising, falling) > driftFound && Math.abs(excess) >= least.drift

/** How far off it is, as a part of the furthest that it has been on that side. @param off K from its base */
export const partOfFurthest = ({ above, below }: UsualLevel, off: number): number =>
  off / Math.max(least.drift, off > 0 ? above : below)

/**
 * How far it has strayed from all that it ever did.
 *
 * @param offs K from its base, newest last
 * @param common K from their bases, that all of the machine are off now
 * @param others see `unusualBy`
 * @returns K; 0 when it has not
 */
export const strayedBy = (
  { days, above, below }: UsualLevel,
  offs: readonly number[],
  common: number,
  others: readonly number[],
): number => {
  const last = offs.slice(-strayed.values)
  if (days < learning || last.length < strayed.values) return 0
  const factor = strayed.factor * unsure(days)
  const more = unusualBy(others)
  const isUp = last.every(off => off > more * Math.max(strayed.least, factor * above))
  if (!isUp && !last.every(off => -off > more * Math.max(strayed.least, factor * below))) return 0
  const off = isUp ? Math.min(...last) : Math.max(...last)
  return (off - common) / off > strayed.alone ? off : 0
}

/** It strayed and came back by itself, as a temperature does: it may do so again. @param offs K from its base, meanwhile */
export const strayedHonestly = (of: UsualLevel, offs: readonly number[]): UsualLevel => ({
  ...of,
  above: Math.max(of.above, ...offs),
  below: Math.max(of.below, -Math.min(...offs)),
})
