import { quantile } from '../statistics/quantile.js'
import type { Courses, SourceCourse } from './courses.js'

/** What a source does to the air, as far as its sensors tell: 0 while it does nothing. */
export interface Drive {
  source: SourceCourse
  /**
   * K that it pulls at the air with: through an open door the difference to the outdoors, from a vent that of its supply, beside a
   * heat source the warmth of its plume; 1 while it runs where only that is known. 0 where nothing is known
   */
  pull: Float64Array
  /** 0..1; part of each interval in which it was open or running, as its state or the air beside it tells */
  active: Float64Array
  knownBy: 'state' | 'air beside it'
}

/** K; the air beside a source moves so far from the shop's when it is open or runs, at least. Judgement, no source */
const tells = 0.7
/** of the largest usual pull; what is more is taken for open or running where no state tells. Judgement, no source */
const half = 0.4

/**
 * The pull of every source whose sensors tell it.
 *
 * @see heat carried by exchanged air is proportional to the difference of temperatures: Incropera & DeWitt, Fundamentals of Heat
 *   and Mass Transfer, chapter 1
 */
export const drives = (courses: Courses): Drive[] =>
  courses.sources.flatMap(source => {
    const around = airAround(courses, source)
    const drive = around && driveOf(courses, source, around)
    return drive ? [drive] : []
  })

const driveOf = ({ outdoors }: Courses, source: SourceCourse, around: Float64Array): Drive | null => {
  const { state, beside, kind } = source
  if (state) {
    const towards = kind === 'door' ? (outdoors ?? beside) : kind === 'vent' ? beside : null
    const pull = state.map((active, i) => {
      if (!(active > 0)) return 0
      const difference = towards ? towards[i]! - around[i]! : 1
      return active * (Number.isNaN(difference) ? 0 : difference)
    })
    return { source, pull, active: state.map(active => (Number.isNaN(active) ? 0 : active)), knownBy: 'state' }
  }
  if (!beside) return null
  const difference = beside.map((value, i) => value - around[i]!)
  const pull = kind === 'door' && outdoors ? leakTakenOut(difference, outdoors, around) : restTakenOut(difference, kind)
  const sizes = [...pull].map(Math.abs).filter(size => size > tells)
  const usual = sizes.length === 0 ? Number.POSITIVE_INFINITY : quantile(sizes, 0.9)
  return { source, pull, active: pull.map(p => Number(Math.abs(p) > half * usual)), knownBy: 'air beside it' }
}

/** A shut door leaks a little in proportion to the outdoors, which its usual share tells: it is shut most of the time. */
const leakTakenOut = (difference: Float64Array, outdoors: Float64Array, around: Float64Array): Float64Array => {
  const shares: number[] = []
  difference.forEach((d, i) => {
    const whole = outdoors[i]! - around[i]!
    if (Math.abs(whole) > 2 && !Number.isNaN(d)) shares.push(d / whole)
  })
  const leak = shares.length === 0 ? 0 : quantile(shares, 0.3)
  return difference.map((d, i) => {
    const whole = outdoors[i]! - around[i]!
    const pull = d - leak * whole
    // what goes against the outdoors did not come through the door
    return Number.isNaN(pull) || pull * whole <= 0 ? 0 : pull
  })
}

/** A source's sensor reads a little beside the shop's while it does nothing; a heat source cools nothing. */
const restTakenOut = (difference: Float64Array, kind: SourceCourse['kind']): Float64Array => {
  const known = [...difference].filter(d => !Number.isNaN(d))
  const idle = known.filter(d => Math.abs(d) < tells)
  const rest = idle.length > known.length / 10 ? quantile(idle, 0.5) : 0
  return difference.map(d => {
    const pull = d - rest
    return Number.isNaN(pull) || (kind === 'heat source' && pull < 0) ? 0 : pull
  })
}

/** The shop's air where a source is: the place that the air beside it is most like; of a source with a state alone, the mean. */
const airAround = ({ places, length }: Courses, { beside }: SourceCourse): Float64Array | null => {
  const inShop = places.filter(({ kind }) => kind === 'shop air')
  const able = inShop.length > 0 ? inShop : places.filter(({ kind }) => kind === 'machine air')
  if (able.length === 0) return null
  if (!beside) {
    const mean = new Float64Array(length)
    for (let i = 0; i < length; i++) {
      const known = able.map(({ temperature }) => temperature[i]!).filter(value => !Number.isNaN(value))
      mean[i] = known.length === 0 ? Number.NaN : known.reduce((a, b) => a + b, 0) / known.length
    }
    return mean
  }
  const apart = able.map(({ temperature }) => {
    const differences = [...beside].map((value, i) => Math.abs(value - temperature[i]!)).filter(d => !Number.isNaN(d))
    return differences.length === 0 ? Number.POSITIVE_INFINITY : quantile(differences, 0.3)
  })
  return able[apart.indexOf(Math.min(...apart))]!.temperature
}
