import { quantile } from '../statistics/quantile.js'
import type { Courses, Place, SourceCourse } from './courses.js'

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
  /** the shop's air that it pulls at: places whose mean that is */
  around: readonly Place[]
}

/** K; the air beside a source moves so far from the shop's when it is open or runs, at least. Judgement, no source */
const tells = 0.7
/** of the largest usual pull; what is more is taken for running where no state tells. Judgement, no source */
const runs = 0.3
/** 0..1 of the way to the outdoors; so much more than what leaks through is an opening. Judgement, no source */
const opens = 0.15
/** intervals; with five minutes, six hours */
const block = 72

/**
 * The pull of every source whose sensors tell it.
 *
 * @see heat carried by exchanged air is proportional to the difference of temperatures: Incropera & DeWitt, Fundamentals of Heat
 *   and Mass Transfer, chapter 1
 */
export const drives = (courses: Courses): Drive[] =>
  courses.sources.flatMap(source => {
    const around = airAround(courses, source)
    const drive = around.length === 0 ? null : driveOf(courses, source, meanAir(around, courses.length))
    return drive ? [{ ...drive, around }] : []
  })

const driveOf = ({ outdoors }: Courses, source: SourceCourse, around: Float64Array): Omit<Drive, 'around'> | null => {
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
  const pull = kind === 'door' && outdoors ? openings(difference, outdoors, around) : whileItRuns(difference, kind)
  return { source, pull, active: pull.map(p => Number(p !== 0)), knownBy: 'air beside it' }
}

/** Middle of what a shut door lets through around a moment: it is shut most of the time. */
const leakAbout = (shares: Float64Array): Float64Array => {
  const blocks = Array.from({ length: Math.ceil(shares.length / block) }, (_, b) => {
    const near = shares.subarray(Math.max(0, (b - 1) * block), (b + 2) * block)
    const known = [...near].filter(share => !Number.isNaN(share))
    return known.length === 0 ? 0 : quantile(known, 0.3)
  })
  return shares.map((_, i) => blocks[Math.floor(i / block)]!)
}

/**
 * Openings of a door of which only the air beside it is known: it goes towards the outdoors by far more than usual around then,
 * which is what leaks through while it is shut, and what sensors are off by.
 */
const openings = (difference: Float64Array, outdoors: Float64Array, around: Float64Array): Float64Array => {
  const whole = outdoors.map((value, i) => value - around[i]!)
  const shares = difference.map((d, i) => (Math.abs(whole[i]!) > 2 ? d / whole[i]! : Number.NaN))
  const leak = leakAbout(shares)
  return shares.map((share, i) => (share - leak[i]! > opens ? (share - leak[i]!) * whole[i]! : 0))
}

/** A source's sensor reads a little beside the shop's while it does nothing; a heat source cools nothing. */
const whileItRuns = (difference: Float64Array, kind: SourceCourse['kind']): Float64Array => {
  const known = [...difference].filter(d => !Number.isNaN(d))
  const idle = known.filter(d => Math.abs(d) < tells)
  const rest = idle.length > known.length / 10 ? quantile(idle, 0.5) : 0
  const sizes = known.map(d => Math.abs(d - rest)).filter(size => size > tells)
  const least = sizes.length === 0 ? Number.POSITIVE_INFINITY : Math.min(tells, runs * quantile(sizes, 0.9))
  return difference.map(d => {
    const pull = d - rest
    return !(Math.abs(pull) > least) || (kind === 'heat source' && pull < 0) ? 0 : pull
  })
}

/** The shop's air where a source is: the place that the air beside it is most like; of a source with a state alone, all of it. */
const airAround = ({ places }: Courses, { beside }: SourceCourse): Place[] => {
  const inShop = places.filter(({ kind }) => kind === 'shop air')
  const able = inShop.length > 0 ? inShop : places.filter(({ kind }) => kind === 'machine air')
  if (!beside || able.length === 0) return able
  const apart = able.map(({ temperature }) => {
    const differences = [...beside].map((value, i) => Math.abs(value - temperature[i]!)).filter(d => !Number.isNaN(d))
    return differences.length === 0 ? Number.POSITIVE_INFINITY : quantile(differences, 0.3)
  })
  return [able[apart.indexOf(Math.min(...apart))]!]
}

/** Mean of the air at places, of those known; NaN where none is. */
const meanAir = (places: readonly Place[], length: number): Float64Array => {
  if (places.length === 1) return places[0]!.temperature
  const mean = new Float64Array(length)
  for (let i = 0; i < length; i++) {
    const known = places.map(({ temperature }) => temperature[i]!).filter(value => !Number.isNaN(value))
    mean[i] = known.length === 0 ? Number.NaN : known.reduce((a, b) => a + b, 0) / known.length
  }
  return mean
}
