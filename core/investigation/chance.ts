import { type Draw, drawing, shuffled } from '../statistics/drawing.js'
import { dot, takeOut } from '../statistics/vectors.js'

/** A quantity on even steps of time. */
export interface Course {
  /** ms; of the first value */
  from: number
  /** ms */
  step: number
  /** NaN where it was not known */
  values: ArrayLike<number>
}

/** What is to be tested: whether what was measured belongs to a course, what else explains it taken out. */
export interface Tested {
  /** ms; when each part was cut */
  at: readonly number[]
  /** what was measured; any unit */
  values: ArrayLike<number>
  /** what is taken out of both, a constant among it; as long as the values */
  columns: readonly Float64Array[]
  course: Course
  /** what one unit of the course counts as: 1, or what brings several features to one scale */
  scale?: number
}

const day = 86_400_000
/** tries of one test at most */
const mostRounds = 1999
/** tries that go as well; after so many it is known well enough how often they do */
const enough = 40
/** 0..1 of a circle; by the golden section: however many steps of it are taken, they lie evenly around */
const golden = (Math.sqrt(5) - 1) / 2

/** Sum of the products of each value of one list with the value before it in the other. */
const neighbours = (a: ArrayLike<number>, b: ArrayLike<number>): number => {
  let sum = 0
  for (let i = 1; i < a.length; i++) sum += a[i]! * b[i - 1]!
  return sum
}

/** m/m; physics expects 1, and so much is left open either way when chance is asked. Judgement, no source */
const slopeOpen = 0.3
const nearOne = [0.4, 0.6, 0.8, 1, 1.2, 1.4, 1.6, 2].map(slope => ({
  slope,
  likelihood: -(((slope - 1) / slopeOpen) ** 2) / 2,
}))
/** part of what was measured; less than this is left by rounding alone */
const tiny = 1e-12

/**
 * Unit vectors that span the same as columns do; a column that says what others say is left out.
 *
 * @see modified Gram–Schmidt; Björck, Å. (1967), BIT 7, 1
 */
const basisOf = (columns: readonly Float64Array[]): Float64Array[] => {
  const basis: Float64Array[] = []
  for (const column of columns) {
    const left = Float64Array.from(column)
    for (const unit of basis) takeOut(unit, left)
    const norm = Math.sqrt(dot(left, left))
    if (norm > 1e-9 * Math.sqrt(dot(column, column))) basis.push(left.map(value => value / norm))
  }
  return basis
}

/** What is left of values once columns have explained what they can. */
export const without = (values: ArrayLike<number>, columns: readonly Float64Array[]): Float64Array => {
  const left = Float64Array.from(values)
  for (const unit of basisOf(columns)) takeOut(unit, left)
  return left
}

/** The same values without gaps (NaN): straight lines over them. */
export const filled = (values: ArrayLike<number>): Float64Array => {
  const found = Float64Array.from(values)
  let last = -1
  for (let i = 0; i < found.length; i++) {
    if (Number.isNaN(found[i]!)) continue
    for (let k = last + 1; k < i; k++)
      found[k] = last < 0 ? found[i]! : found[last]! + ((found[i]! - found[last]!) * (k - last)) / (i - last)
    last = i
  }
  if (last >= 0) found.fill(found[last]!, last + 1)
  return found
}

/**
 * Tests whether what was measured of one or several features goes with courses, by how well it goes with the same courses
 * moved in time: both keep whatever memory they have, and only whether they belong together is lost. Several features
 * are moved together.
 */
export class Chance {
  private readonly all: {
    index: Int32Array
    rest: Float64Array
    basis: Float64Array[]
    values: Float64Array
    scale: number
    at: readonly number[]
    course: Course
  }[]

  constructor(tested: readonly Tested[]) {
    this.all = tested.map(({ at, values, columns, course, scale = 1 }) => ({
      index: Int32Array.from(at, time => Math.round((time - course.from) / course.step)),
      rest: without(values, columns),
      basis: basisOf(columns),
      values: filled(course.values),
      scale,
      at,
      course,
    }))
  }

  /**
   * How often a course that is moved goes as well as the one that was.
   *
   * @param rounds at most
   * @param by     of a round, then as `goodness` takes it
   * @see Besag, J. & Clifford, P. (1991), Biometrika 78, 301: sequential Monte Carlo p-values
   */
  private asOften(rounds: number, by: (round: number) => (feature: number, part: number) => number): number {
    const here = this.goodness(() => 0)
    if (!Number.isFinite(here)) return 1
    let asGood = 0
    for (let round = 1; round <= rounds; round++) {
      if (this.goodness(by(round)) >= here - 1e-9) asGood++
      if (asGood === enough) return asGood / round
    }
    return (asGood + 1) / (rounds + 1)
  }

  /**
   * How well courses go with what was measured: the log likelihood of what they leave, which goes with its neighbour before
   * it (first-order autoregression), at the best slope near 1. Up to a constant.
   *
   * @param by ms by which a feature's part is looked up elsewhere in its course
   * @returns NaN where no course moves
   */
  private goodness(by: (feature: number, part: number) => number): number {
    let [goodness, moved] = [0, false]
    this.all.forEach(({ index, rest, basis, values, scale, course }, feature) => {
      const [steps, n] = [values.length, index.length]
      const found = new Float64Array(n)
      for (let i = 0; i < n; i++) {
        const place = (index[i]! + Math.round(by(feature, i) / course.step)) % steps
        found[i] = scale * values[place < 0 ? place + steps : place]!
      }
      const size = dot(found, found)
      for (const unit of basis) takeOut(unit, found)
      const own = dot(found, found)
      // what is all alike leaves nothing but rounding
      if (own > 1e-18 * size) moved = true
      const [together, measured] = [dot(found, rest), dot(rest, rest)]
      const [ownNext, measuredNext] = [neighbours(found, found), neighbours(rest, rest)]
      const togetherNext = (neighbours(found, rest) + neighbours(rest, found)) / 2
      const [x, y] = [found[n - 1]!, rest[n - 1]!]
      let best = Number.NEGATIVE_INFINITY
      for (const { slope, likelihood } of nearOne) {
        const left = Math.max(0, measured - 2 * slope * together + slope ** 2 * own)
        const next = Math.max(0, measuredNext - 2 * slope * togetherNext + slope ** 2 * ownNext)
        const before = left - (y - slope * x) ** 2
        // the least that is left with the memory that suits best
        const unexplained = before > 0 ? left - next ** 2 / before : left
        best = Math.max(best, likelihood - (n / 2) * Math.log(Math.max(unexplained, tiny * measured)))
      }
      goodness += best
    })
    return moved ? goodness : Number.NaN
  }

  /**
   * How often the courses go as well when they are moved round in time.
   *
   * @param apart ms; moves of less than this, either way, are not another course
   * @returns 0..1; 1 where nothing moved
   * @see circular shift test; Ebisuzaki, W. (1997), J. Climate 10, 2147, on series with memory
   */
  movedRound(apart: number): number {
    const length = Math.max(...this.all.map(({ values, course }) => values.length * course.step))
    const step = Math.max(...this.all.map(({ course }) => course.step))
    const room = length - 2 * apart
    const rounds = Math.min(mostRounds, Math.floor(room / step) + 1)
    if (!(rounds >= 1)) return 1
    return this.asOften(rounds, round => {
      const by = apart + room * ((round * golden) % 1)
      return () => by
    })
  }

  /**
   * How often the courses go as well when half days are exchanged for the same halves of other days on which parts were
   * cut. What comes back every day, a tool that is changed each morning or a set-up, cannot pass for heat then.
   *
   * @param midnight ms; one by the shop's clock
   * @returns 0..1 and in how many ways the half days can lie, as many as were tried at most; a chance of 1 where all parts
   *   were cut in the same half day or nothing moved
   */
  halfDays(midnight: number): { chance: number; ways: number } {
    const { ways, exchanged } = halfDaysOf(
      this.all.map(({ at }) => at),
      midnight,
    )
    if (ways < 2) return { chance: 1, ways }
    const draw = drawing(4711)
    const chance = this.asOften(mostRounds, () => exchanged(draw))
    return { chance, ways: Math.min(ways, mostRounds) }
  }
}

/**
 * Half days on which parts of features were cut, to be exchanged for the same halves of other days.
 *
 * @param at       ms; of each feature when its parts were cut
 * @param midnight ms; one by the shop's clock
 * @returns in how many ways they can lie, bounded; and one of them, all alike likely: by how many ms it moves a feature's part
 */
export const halfDaysOf = (at: readonly (readonly number[])[], midnight: number) => {
  const places = at.map(times =>
    times.map(time => {
      const date = Math.floor((time - midnight) / day)
      return { date, half: time - midnight - date * day < day / 2 ? 0 : 1 }
    }),
  )
  const dates = [0, 1].map(half => [
    ...new Set(places.flat().flatMap(place => (place.half === half ? [place.date] : []))),
  ])
  let ways = 1
  for (const { length } of dates) for (let i = 2; i <= length; i++) ways = Math.min(ways * i, 1e9)
  const exchanged = (draw: Draw) => {
    const taken = dates.map(each => {
      const mixed = shuffled(each, draw)
      return new Map(each.map((date, i) => [date, mixed[i]!]))
    })
    return (feature: number, part: number): number => {
      const { date, half } = places[feature]![part]!
      return (taken[half]!.get(date)! - date) * day
    }
  }
  return { ways, exchanged }
}
