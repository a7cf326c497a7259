/**
 * The model that identification fits: a node that follows its surroundings, with a heat of its own that wanders.
 *
 *   dT/dt = (A + q − T)/τ,  q a random walk,  readings of T with noise
 *
 * or with two speeds, T = (1 − w)·x₁ + w·x₂, each x following A + q with its own τ. The innovations of its Kalman filter
 * are the prediction errors whose likelihood is maximised. Five-minute means obey the same equation as the temperatures
 * themselves (a moving average commutes with a linear equation); between them the surroundings are taken as straight
 * lines.
 *
 * @see Ljung, L. (1999), System Identification, 2nd ed., sections 4.3, 7.2 and 7.4
 */
export interface Evenly {
  /** s between the values */
  spacing: number
  /** °C; NaN where nothing is known */
  node: Float64Array
  /** °C; the smoothed level of what it follows, NaN where nothing is known for long */
  air: Float64Array
  /** factor on the wander of the node's own heat at each value, 1 when nothing is known of it */
  restlessness: Float64Array
}

export interface Speeds {
  /** s */
  first: number
  /** s; the slower one, and its part; part 0 for a single speed */
  second: number
  part: number
}

export interface Disturbances {
  /** K per square root of an hour; how the own heat wanders */
  wander: number
  /** K per square root of an hour; what the model misses at the node itself */
  unrest: number
  /** K; noise of a value of the node */
  noise: number
}

export interface Followed {
  /** negative logarithm of the likelihood */
  cost: number
  count: number
}

/** degrees of freedom of the innovations' distribution: its tails keep a shift's start from ruling the fit */
const tails = 5
/** K; how far the own heat may lie from nothing at the beginning of a stretch */
const firstExcess = 3

interface Watch {
  /** called for each value with the innovation over its standard deviation, the cost it adds, and the state */
  (index: number, standardised: number, cost: number, temperature: number, excess: number): void
}

/** Cost of one standardised innovation: Student's t, scaled so that its variance is that of the filter. */
const costOf = (squared: number, spread: number): number =>
  ((tails + 1) / 2) * Math.log1p(squared / (tails * spread)) + Math.log(spread) / 2

/**
 * Runs the filter over the values.
 *
 * @returns the cost of all innovations; Infinity when there is nothing to compare
 */
export const follow = (data: Evenly, speeds: Speeds, disturbances: Disturbances, watch?: Watch): Followed => {
  const { spacing, node, air, restlessness } = data
  const { first, second, part } = speeds
  const hours = spacing / 3600
  const wander = disturbances.wander ** 2 * hours
  const unrest = disturbances.unrest ** 2 * hours
  const noise = disturbances.noise ** 2
  const a1 = Math.exp(-spacing / first)
  const a2 = Math.exp(-spacing / second)
  const f1 = ((1 - a1) * first) / spacing
  const f2 = ((1 - a2) * second) / spacing
  const g1 = 1 - a1
  const g2 = 1 - a2
  const h1 = 1 - part
  const h2 = part
  let x1 = 0
  let x2 = 0
  let q = 0
  let [p11, p12, p13, p22, p23, p33] = [0, 0, 0, 0, 0, 0]
  let known = false
  let skip = 0
  let cost = 0
  let count = 0
  for (let k = 0; k < node.length; k++) {
    const around = air[k]!
    const reading = node[k]!
    if (Number.isNaN(around)) {
      known = false
      continue
    }
    if (!known) {
      if (Number.isNaN(reading)) continue
      known = true
      skip = 2
      x1 = reading
      x2 = reading
      q = 0
      // where a stretch begins, nothing is known of the slower speed but that it is near
      p11 = noise + (part > 0 ? 0.01 : 0)
      p22 = part > 0 ? 1 : 0
      p33 = firstExcess ** 2
      p12 = 0
      p13 = 0
      p23 = 0
      continue
    }
    const before = air[k - 1]!
    x1 = a1 * x1 + (f1 - a1) * before + (1 - f1) * around + g1 * q
    const n11 = a1 * a1 * p11 + 2 * a1 * g1 * p13 + g1 * g1 * p33 + unrest
    const n13 = a1 * p13 + g1 * p33
    if (part > 0) {
      x2 = a2 * x2 + (f2 - a2) * before + (1 - f2) * around + g2 * q
      p12 = a1 * a2 * p12 + a1 * g2 * p13 + a2 * g1 * p23 + g1 * g2 * p33
      p22 = a2 * a2 * p22 + 2 * a2 * g2 * p23 + g2 * g2 * p33
      p23 = a2 * p23 + g2 * p33
    }
    p11 = n11
    p13 = n13
    p33 += wander * restlessness[k]!
    if (Number.isNaN(reading)) continue
    const predicted = h1 * x1 + h2 * x2
    const innovation = reading - predicted
    const c1 = h1 * p11 + h2 * p12
    const c2 = h1 * p12 + h2 * p22
    const c3 = h1 * p13 + h2 * p23
    const spread = h1 * c1 + h2 * c2 + noise
    const squared = innovation * innovation
    const adds = skip > 0 ? 0 : costOf(squared, spread)
    if (skip > 0) skip--
    else {
      cost += adds
      count++
    }
    const [k1, k2, k3] = [c1 / spread, c2 / spread, c3 / spread]
    x1 += k1 * innovation
    x2 += k2 * innovation
    q += k3 * innovation
    p11 -= k1 * c1
    p12 -= k1 * c2
    p13 -= k1 * c3
    p22 -= k2 * c2
    p23 -= k2 * c3
    p33 -= k3 * c3
    watch?.(k, innovation / Math.sqrt(spread), adds, h1 * x1 + h2 * x2, q)
  }
  return { cost: count > 0 ? cost : Number.POSITIVE_INFINITY, count }
}
