import { mean, median } from '../statistics/index.js'

// Values come every five minutes. How many are kept and asked for is judgement, no source.
/** values; those of seven days are kept */
const kept = 2016
/** values; it is learned anew every two hours */
const renewed = 24
/** values; nothing is learned before half a day is known */
const fewest = 144
/** classes of the histogram */
const bins = 64
/** 0..1; part of the values that lies beyond either end of the histogram, so that single ones do not stretch it */
const beyond = 0.005
/**
 * What tells a machine that works: how clear it is (see `leader`), how many K rest and work are apart at least, and the
 * fractions of the time between which it works. Judgement, no source: mere noise (of which classes explain 2/π) and the
 * course of a day lie below, in invented shops, and most machines that work above.
 */
const tells = { clear: 0.4, apart: 0.25, least: 0.01, most: 0.75 }
/** values; how long a spell of work is at least, how long a break may be that does not end it, how much before it counts as its rest */
const spell = { least: 3, pause: 2, before: 24 }
/** K; what work adds to a body of which no spell has been seen. Judgement: wide enough for screws and spindles */
const prior = { added: 0.6, uncertainty: 0.6 }
/**
 * relative; how much spells differ in what they add, at least and at most. The most holds while nothing is known.
 * Judgement
 */
const scatter = { least: 0.2, most: 0.6 }
/** K; what a spell adds is never known better. Judgement */
const leastError = 0.1
/** makes a median absolute deviation comparable with the standard deviation of a normal distribution */
const normal = 1.4826

/** What a machine's work adds to one of its bodies, K above what it follows once it has settled. */
export interface BodyHeat {
  /** at rest; null while not known */
  rest: number | null
  /** by a usual spell of work, never below zero */
  added: number
  /** standard uncertainty of what the next spell adds */
  uncertainty: number
  /** spells of work that it was learned from */
  spells: number
}

/** Of a body of which no spell of work has been seen. */
const unknownHeat: BodyHeat = { rest: null, ...prior, spells: 0 }

/**
 * How far above its surroundings a body was being driven over a while: its equilibrium's excess, from the exact solution of
 * dT/dt = (A + q − T)/τ with a constant right-hand side.
 *
 * @param from °C then
 * @param to °C now
 * @param surroundings °C, mean of the time between
 * @param timeConstant s
 * @param elapsed s between the two
 * @returns q, K
 */
export const drivingExcess = (
  from: number,
  to: number,
  surroundings: number,
  timeConstant: number,
  elapsed: number,
): number => {
  const left = Math.exp(-elapsed / timeConstant)
  return (to - from * left) / (1 - left) - surroundings
}

/**
 * Divides values into two classes so that the variance between them is largest, and takes the middle of their means.
 *
 * @returns the threshold, how much of the variance is between the classes (0..1), how far their means are apart and what
 * part of the values is above; null where all are alike
 * @see Otsu, N. (1979), A threshold selection method from gray-level histograms, IEEE Trans. Syst. Man Cybern. 9, 62
 */
export const twoClasses = (
  values: readonly number[],
): { threshold: number; explained: number; apart: number; above: number } | null => {
  const sorted = [...values].sort((a, b) => a - b)
  const low = sorted[Math.floor(beyond * (sorted.length - 1))]!
  const high = sorted[Math.ceil((1 - beyond) * (sorted.length - 1))]!
  if (!(high > low)) return null
  const width = (high - low) / bins
  const count = new Float64Array(bins)
  for (const value of sorted) count[Math.min(bins - 1, Math.max(0, Math.floor((value - low) / width)))]!++
  let [sum, squares] = [0, 0]
  for (let b = 0; b < bins; b++) {
    sum += count[b]! * b
    squares += count[b]! * b * b
  }
  const all = sorted.length
  const variance = squares / all - (sum / all) ** 2
  let best = { threshold: low, explained: 0, apart: 0, above: 0 }
  let [below, ofBelow] = [0, 0]
  for (let b = 0; b < bins - 1; b++) {
    below += count[b]!
    ofBelow += count[b]! * b
    if (below === 0 || below === all) continue
    const apart = (sum - ofBelow) / (all - below) - ofBelow / below
    const between = (below * (all - below) * apart ** 2) / all ** 2
    if (between > best.explained * variance)
      best = {
        // midway between the means: where a smoothed change of class is half done
        threshold: low + width * (0.5 + (ofBelow / below + (sum - ofBelow) / (all - below)) / 2),
        explained: between / variance,
        apart: apart * width,
        above: 1 - below / all,
      }
  }
  return best
}

/**
 * How suddenly values go from one class to the other: the median, over all that do, of what they move meanwhile. A day's
 * course goes through a threshold slowly.
 *
 * @returns in the unit of the values; NaN where none does
 */
const suddenness = (values: readonly number[], threshold: number): number => {
  const moves: number[] = []
  for (let k = 3; k < values.length - 2; k++) {
    if (values[k - 1]! > threshold === values[k]! > threshold) continue
    const move = Math.abs(values[k + 2]! - values[k - 3]!)
    if (!Number.isNaN(move)) moves.push(move)
  }
  return moves.length > 0 ? median(moves) : Number.NaN
}

const correlation = (x: readonly number[], y: readonly number[]): number => {
  const [mx, my] = [mean(x), mean(y)]
  let [xy, xx, yy] = [0, 0, 0]
  for (let i = 0; i < x.length; i++) {
    xy += (x[i]! - mx) * (y[i]! - my)
    xx += (x[i]! - mx) ** 2
    yy += (y[i]! - my) ** 2
  }
  return xx > 0 && yy > 0 ? xy / Math.sqrt(xx * yy) : 0
}

/**
 * Learns from a machine's own heat when it works, and what its work adds to each of its bodies.
 *
 * The body whose driving excess falls into two classes most clearly and suddenly, and least as the air goes, tells when
 * the machine works. Each spell of work is compared with the rest before it, body by body; median and spread of the spells are joined
 * to a wide prior (normal, known variances).
 *
 * @see Gelman, A. et al. (2013), Bayesian Data Analysis, 3rd ed., 2.5
 */
export class WorkingHeat {
  private readonly excess: number[][]
  private readonly air: number[] = []
  private taken = 0
  private learned: BodyHeat[]

  /** @param bodies how many are followed */
  constructor(bodies: number) {
    this.excess = Array.from({ length: bodies }, () => [])
    this.learned = Array.from({ length: bodies }, () => unknownHeat)
  }

  /**
   * @param excess K; driving excess of each body over the last quarter of an hour, NaN where not known; every five minutes
   * @param air °C; of the machine's air
   */
  take(excess: readonly number[], air: number): void {
    this.excess.forEach((values, i) => {
      values.push(excess[i]!)
      if (values.length > kept) values.shift()
    })
    this.air.push(air)
    if (this.air.length > kept) this.air.shift()
    this.taken++
    if (this.taken >= fewest && this.taken % renewed === 0) this.learn()
  }

  /** What is known of each body, in their order. */
  get bodies(): readonly BodyHeat[] {
    return this.learned
  }

  private learn(): void {
    const leader = this.leader()
    if (!leader) return
    const spells = this.spells(leader.values, leader.threshold)
    // each value is of a quarter of an hour: those count that lie in work, or in rest, with all of it
    const all = (k: number, before: number, after: number, works: boolean) => {
      for (let j = k - before; j <= k + after; j++) if (leader.values[j]! > leader.threshold !== works) return false
      return true
    }
    const atRest = leader.values.map((_, k) => all(k, 3, 1, false))
    const atWork = leader.values.map((_, k) => all(k, 2, 1, true))
    const found = this.excess.map(values => {
      const those = (from: number, to: number, which: readonly boolean[]): number[] => {
        const found: number[] = []
        for (let k = Math.max(0, from); k < to; k++) if (!Number.isNaN(values[k]!) && which[k]) found.push(values[k]!)
        return found
      }
      const rest = those(0, values.length, atRest)
      const added: number[] = []
      const noise: number[] = []
      for (const { from, to } of spells) {
        const before = those(from - spell.before, from, atRest)
        const within = those(from, to, atWork)
        if (before.length < spell.least || within.length === 0) continue
        added.push(median(within) - mean(before))
        const half = before.length >> 1
        if (half >= spell.least) noise.push(mean(before.slice(half)) - mean(before.slice(0, half)))
      }
      return { rest, added, noise }
    })
    const harder = relativeScatter(found[this.excess.indexOf(leader.values)]!)
    this.learned = found.map(({ rest, added }) => heatOf(rest, added, harder))
  }

  /**
   * The body that tells most clearly: by which fraction of its variance lies between two classes, how little it goes with
   * the air, and how suddenly it goes from one class to the other.
   */
  private leader(): { values: number[]; threshold: number } | null {
    // work begins and ends when it does; what is no heat but a body that follows its air otherwise than it is taken to
    // comes and goes with each change of it
    const jumped = this.air.map((a, k) => a - (this.air[k - 3] ?? Number.NaN))
    let best: { values: number[]; threshold: number; score: number } | null = null
    for (const values of this.excess) {
      const moved = values.map((q, k) => q - (values[k - 3] ?? Number.NaN))
      const known = moved.map((q, k) => (Number.isNaN(q + jumped[k]!) ? -1 : k)).filter(k => k >= 0)
      if (known.length < fewest / 2) continue
      const found = twoClasses(known.map(k => values[k]!))
      if (!found || found.apart < tells.apart || found.above < tells.least || found.above > tells.most) continue
      const alike = correlation(
        known.map(k => moved[k]!),
        known.map(k => jumped[k]!),
      )
      const sudden = Math.min(1, suddenness(values, found.threshold) / found.apart)
      const score = found.explained * (1 - alike ** 2) * sudden
      if (score > (best?.score ?? tells.clear)) best = { values, threshold: found.threshold, score }
    }
    return best
  }

  private spells(values: readonly number[], threshold: number): { from: number; to: number }[] {
    const found: { from: number; to: number }[] = []
    for (let k = 0; k < values.length; k++) {
      if (!(values[k]! > threshold)) continue
      const last = found.at(-1)
      if (last && k - last.to <= spell.pause) last.to = k + 1
      else found.push({ from: k, to: k + 1 })
    }
    return found.filter(({ from, to }) => to - from >= spell.least)
  }
}

const deviation = (values: readonly number[]): number => {
  const middle = median([...values])
  return normal * median(values.map(value => Math.abs(value - middle)))
}

/**
 * How differently hard a machine works from spell to spell, relative to what a usual one adds: from the body that tells it
 * best, less what spells seem to add without adding anything, as the second half of each rest does against its first.
 */
const relativeScatter = ({ added, noise }: { added: readonly number[]; noise: readonly number[] }): number => {
  if (added.length < 2) return scatter.most
  const apparent = noise.length < 2 ? 0 : deviation(noise)
  const own = Math.sqrt(Math.max(0, deviation(added) ** 2 - apparent ** 2))
  return Math.min(scatter.most, Math.max(scatter.least, own / Math.max(median(added), tells.apart)))
}

/**
 * @param rest   K; excess at rest
 * @param added  K; what each spell added to the rest before it
 * @param harder how differently hard the machine works, relative: it heats all its bodies by so much more or less
 */
const heatOf = (rest: readonly number[], added: readonly number[], harder: number): BodyHeat => {
  const usual = rest.length > 0 ? mean(rest) : null
  const count = added.length
  if (count < 2) return { ...unknownHeat, rest: usual }
  // a door that opens within a spell is not the spell's doing: robust against it
  const middle = median(added)
  const seen = Math.max(leastError, deviation(added))
  const precision = count / seen ** 2 + 1 / prior.uncertainty ** 2
  const expected = Math.max(0, ((count * middle) / seen ** 2 + prior.added / prior.uncertainty ** 2) / precision)
  return {
    rest: usual,
    added: expected,
    uncertainty: Math.hypot(harder * expected, 1 / Math.sqrt(precision)),
    spells: count,
  }
}
