/**
 * The model that identification fits: a node that follows its surroundings at two speeds, with a heat of its own that
 * wanders.
 *
 *   T = share·x₁ + (1 − share)·x₂,   dxᵢ/dt = (A + q − xᵢ)/τᵢ,   q a random walk,   readings of T with noise
 *
 * The faster part stands for what a sensor on a surface feels of the air, and for a thin skin over heavy iron. The
 * innovations of the model's Kalman filter are the prediction errors whose likelihood is maximised. Means over an interval
 * obey the same equation as the temperatures themselves (a moving average commutes with a linear equation); between them
 * the surroundings are taken as straight lines.
 *
 * @see Ljung, L. (1999), System Identification, 2nd ed., sections 4.3, 7.2 and 7.4
 */

/** Temperatures of a node and of what it follows, evenly spaced in time; all arrays have one length. */
export interface Evenly {
  /** s between the values */
  spacing: number
  /** °C; NaN where nothing is known */
  node: Float64Array
  /** °C; of what it follows, NaN where nothing is known for long */
  air: Float64Array
  /** factor on the variance of the own heat's wander at each value, 1 when nothing is known of it */
  restlessness: Float64Array
}

/** How quickly the two parts of a node follow its surroundings. */
export interface Speeds {
  /** s; time constant of the slower part, which is most of the node */
  main: number
  /** s; time constant of the faster part */
  fast: number
  /** 0..1; how much of the reading belongs to the faster part */
  share: number
}

/** What acts on a node and its readings besides its surroundings: standard deviations. */
export interface Disturbances {
  /** K per square root of an hour; how the own heat wanders where restlessness is 1 */
  wander: number
  /** K per square root of an hour; process noise: what the model misses at the node itself */
  processNoise: number
  /** K; noise of a value of the node */
  noise: number
}

/** What the filter says of one value. */
interface Step {
  /** of the value */
  index: number
  /** innovation over its standard deviation */
  standardised: number
  /** negative logarithm of the value's likelihood */
  cost: number
  /** °C; of the main part */
  main: number
  /** K; the own heat, q */
  excess: number
}

/** degrees of freedom of the innovations' distribution: its tails keep a shift's start from ruling the fit */
const tails = 5
/** K; how far the own heat may lie from nothing at the beginning of a stretch */
const firstExcess = 3
/** values at the beginning of a stretch that only tell where it begins */
const introduction = 3

/** Cost of an innovation: Student's t. */
const costOf = (squared: number, spread: number): number =>
  ((tails + 1) / 2) * Math.log1p(squared / (tails * spread)) + Math.log(spread) / 2

/**
 * Runs the filter over the values.
 *
 * @returns negative logarithm of the likelihood; Infinity when there is nothing to compare
 */
export const follow = (
  { spacing, node, air, restlessness }: Evenly,
  { main, fast, share }: Speeds,
  disturbances: Disturbances,
  watch?: (step: Step) => void,
): number => {
  const hours = spacing / 3600
  const wander = disturbances.wander ** 2 * hours
  const processNoise = disturbances.processNoise ** 2 * hours
  const noise = disturbances.noise ** 2
  const [a1, a2] = [Math.exp(-spacing / fast), Math.exp(-spacing / main)]
  const [g1, g2] = [1 - a1, 1 - a2]
  const [f1, f2] = [(g1 * fast) / spacing, (g2 * main) / spacing]
  const [h1, h2] = [share, 1 - share]
  let [x1, x2, q] = [0, 0, 0]
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
      skip = introduction
      ;[x1, x2, q] = [reading, reading, 0]
      ;[p11, p12, p13, p22, p23, p33] = [1, 0, 0, 1, 0, firstExcess ** 2]
      continue
    }
    const before = air[k - 1]!
    x1 = a1 * x1 + (f1 - a1) * before + (1 - f1) * around + g1 * q
    x2 = a2 * x2 + (f2 - a2) * before + (1 - f2) * around + g2 * q
    p11 = a1 * a1 * p11 + 2 * a1 * g1 * p13 + g1 * g1 * p33
    p12 = a1 * a2 * p12 + a1 * g2 * p13 + a2 * g1 * p23 + g1 * g2 * p33
    p22 = a2 * a2 * p22 + 2 * a2 * g2 * p23 + g2 * g2 * p33 + processNoise
    p13 = a1 * p13 + g1 * p33
    p23 = a2 * p23 + g2 * p33
    p33 += wander * restlessness[k]!
    if (Number.isNaN(reading)) continue
    const innovation = reading - h1 * x1 - h2 * x2
    const c1 = h1 * p11 + h2 * p12
    const c2 = h1 * p12 + h2 * p22
    const c3 = h1 * p13 + h2 * p23
    const spread = h1 * c1 + h2 * c2 + noise
    x1 += (c1 / spread) * innovation
    x2 += (c2 / spread) * innovation
    q += (c3 / spread) * innovation
    p11 -= (c1 * c1) / spread
    p12 -= (c1 * c2) / spread
    p13 -= (c1 * c3) / spread
    p22 -= (c2 * c2) / spread
    p23 -= (c2 * c3) / spread
    p33 -= (c3 * c3) / spread
    if (skip > 0) {
      skip--
      continue
    }
    const adds = costOf(innovation * innovation, spread)
    cost += adds
    count++
    watch?.({ index: k, standardised: innovation / Math.sqrt(spread), cost: adds, main: x2, excess: q })
  }
  return count > 0 ? cost : Number.POSITIVE_INFINITY
}

/** s; time in which both parts together have covered 63.2 % of a step of the surroundings */
export const covered63 = ({ main, fast, share }: Speeds): number => {
  let [low, high] = [0, 2 * Math.max(main, fast)]
  while (high - low > 1) {
    const t = (low + high) / 2
    if (share * Math.exp(-t / fast) + (1 - share) * Math.exp(-t / main) > Math.exp(-1)) low = t
    else high = t
  }
  return high
}
