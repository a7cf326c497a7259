import { quantile } from '../statistics/quantile.js'
import type { Courses, Place, SourceCourse } from './courses.js'
import { known, meanOf } from './known.js'

/** What a source does to the air, as far as its sensors tell: 0 while it does nothing. */
export interface Drive {
  source: SourceCourse
  /**
   * K that it pulls at the air with: through an open door the difference to the outdoors, from a vent that of its supply, beside a
   * heat source the warmth of its plume; 1 while it runs where only that is known. 0 where nothing is known
   */
  pull: Float64Array
  /**
   * how strongly it acts on the shop's air: where it exchanges air, 0..1, the part of each interval in which it does (or the part of
   * outdoor air in what comes in); else the pull itself
   */
  part: Float64Array
  /** °C; what it draws in, known wherever it exchanges air; null: it does not */
  towards: Float64Array | null
  /** whether it draws in the outdoors: were they otherwise, so were what it draws in */
  fromOutdoors: boolean
  /** 0..1; part of each interval in which it was open or running, as its state or the air beside it tells */
  active: Float64Array
  knownBy: 'state' | 'air beside it'
  /** the shop's air that it pulls at: places whose mean that is */
  around: readonly Place[]
}

/** K; while a source is open or runs, the air beside it differs from the shop's by at least this. Judgement, no source */
const tells = 0.7
/** 0..1, of the largest usual pull; where no sensor tells the state, a larger pull is taken for running. Judgement, no source */
const runs = 0.3
/** 0..1 of the way to the outdoors; air that comes nearer than the usual leak by this tells an opening. Judgement, no source */
const opens = 0.15
/** intervals over which the leak of a shut door is taken as one; with five minutes, six hours */
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
    const active = state.map(open => (Number.isNaN(open) ? 0 : open))
    const fromOutdoors = kind === 'door' && outdoors !== null
    return { source, ...exchanging(active, towards, around), fromOutdoors, active, knownBy: 'state' }
  }
  if (!beside) return null
  const difference = beside.map((value, i) => value - around[i]!)
  const isDoor = kind === 'door' && outdoors !== null
  const pulled = isDoor ? openings(difference, outdoors, around) : whileItRuns(difference, kind)
  const active = pulled.map(value => Number(value !== 0))
  const blown = pulled.map((pull, i) => around[i]! + pull)
  const acts =
    kind === 'heat source'
      ? exchanging(pulled, null, around)
      : isDoor
        ? exchanging(pulled, outdoors, around)
        : exchanging(active, blown, around)
  return { source, ...acts, fromOutdoors: isDoor, active, knownBy: 'air beside it' }
}

/** @param part as `Drive` has it; counts for nothing where it is not known what is drawn in */
const exchanging = (
  part: Float64Array,
  towards: Float64Array | null,
  around: Float64Array,
): Pick<Drive, 'part' | 'towards' | 'pull'> => {
  if (!towards) return { part, towards, pull: part }
  const able = part.map((value, i) => (Number.isNaN(towards[i]!) ? 0 : value))
  const pull = able.map((value, i) => (value === 0 ? 0 : value * (towards[i]! - around[i]!) || 0))
  return { part: able, towards, pull }
}

/** Middle of what a shut door lets through around a moment: it is shut most of the time. */
const leakAbout = (shares: Float64Array): Float64Array => {
  const blocks = Array.from({ length: Math.ceil(shares.length / block) }, (_, b) => {
    const near = known(shares.subarray(Math.max(0, (b - 1) * block), (b + 2) * block))
    return near.length === 0 ? 0 : quantile(near, 0.3)
  })
  return shares.map((_, i) => blocks[Math.floor(i / block)]!)
}

/**
 * Openings of a door of which only the air beside it is known, 0..1 of the way to the outdoors: it goes towards the outdoors by far more than usual around then,
 * which is what leaks through while it is shut, and what sensors are off by.
 */
const openings = (difference: Float64Array, outdoors: Float64Array, around: Float64Array): Float64Array => {
  const whole = outdoors.map((value, i) => value - around[i]!)
  const shares = difference.map((d, i) => (Math.abs(whole[i]!) > 2 ? d / whole[i]! : Number.NaN))
  const leak = leakAbout(shares)
  return shares.map((share, i) => (share - leak[i]! > opens ? share - leak[i]! : 0))
}

/** A source's sensor reads a little beside the shop's while it does nothing; a heat source cools nothing. */
const whileItRuns = (difference: Float64Array, kind: SourceCourse['kind']): Float64Array => {
  const seen = known(difference)
  const idle = seen.filter(d => Math.abs(d) < tells)
  const rest = idle.length > seen.length / 10 ? quantile(idle, 0.5) : 0
  const sizes = seen.map(d => Math.abs(d - rest)).filter(size => size > tells)
  const least = sizes.length === 0 ? Number.POSITIVE_INFINITY : Math.min(tells, runs * quantile(sizes, 0.9))
  return difference.map(d => {
    const pull = d - rest
    return !(Math.abs(pull) > least) || (kind === 'heat source' && pull < 0) ? 0 : pull
  })
}

/**
 * The shop's air where a source is: the place whose changes over an hour the air beside it shares, for it does so while the source
 * rests, whatever the two sensors are off by; of a source with a state alone, all of it.
 */
const airAround = ({ places, spacing }: Courses, { beside }: SourceCourse): Place[] => {
  const inShop = places.filter(({ kind }) => kind === 'shop air')
  const able = inShop.length > 0 ? inShop : places.filter(({ kind }) => kind === 'machine air')
  if (!beside || able.length < 2) return able
  const before = Math.round(3600 / spacing)
  const apart = able.map(({ temperature }) => {
    const difference = beside.map((value, i) => value - temperature[i]!)
    const changes = known(difference.subarray(before).map((d, i) => Math.abs(d - difference[i]!)))
    return changes.length === 0 ? Number.POSITIVE_INFINITY : quantile(changes, 0.3)
  })
  return [able[apart.indexOf(Math.min(...apart))]!]
}

/** Mean of the air at places, of those known; NaN where none is. */
const meanAir = (places: readonly Place[], length: number): Float64Array => {
  if (places.length === 1) return places[0]!.temperature
  return Float64Array.from({ length }, (_, i) => meanOf(places.map(({ temperature }) => temperature[i]!)))
}
