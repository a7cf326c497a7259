import type { Courses } from './courses.js'
import type { Drive } from './drives.js'
import { meanOf } from './known.js'
import type { HallModel } from './model.js'

/**
 * What a place in the shop's air is described by: a light air that exchanges heat with something heavy around it, leaks to the
 * outdoors, is warmed by sun and people, exchanges with what doors and vents let in as long as they do, and is kept between two limits by a heating and a cooling as strong as they are.
 * Rates are for the light air: K/h, or 1/h for each K.
 */
export const hallTerms = [
  /** 1/h; exchange with what is heavy, and with the outdoors while doors are shut */
  'link',
  'leak',
  /** 1/h; exchange with what stays as it is: ground, other rooms, a heating that gives the more the colder it is */
  'hold',
  /** h; time constant of what is heavy */
  'heavy',
  /** K/h; the noon sun, people and lamps at work, and whatever is always there */
  'sun',
  'people',
  'base',
  /** K/h; most that the heating gives, and the cooling takes */
  'heating',
  'cooling',
  /** °C; what the heating keeps at work; K; how much less at other times, how far above it the cooling begins, how much later still */
  'day',
  'setback',
  'gap',
  'rest',
  /** h; when work begins and ends by the shop's clock */
  'from',
  'to',
] as const
export type HallTerm = (typeof hallTerms)[number]

/** Everything that acts on the places of the shop's air, all known: a gap keeps the last known value. */
export interface Acting {
  outdoors: Float64Array
  /** 0..1; the sun by the hour */
  sun: Float64Array
  pulls: ReadonlyMap<string, Act>
}

/** What a source does to the air that it is in, see `Drive`. */
export type Act = Pick<Drive, 'part' | 'towards' | 'fromOutdoors'>

/** What is otherwise than it was, from an interval on. */
interface Otherwise {
  begin: number
  /** sources that stay shut or off */
  off: readonly string[]
  /** whether the outdoors and the sun stay as they are on average, what doors let in with them; whether nothing is lowered at night, and people are always there */
  outdoors: boolean
  week: boolean
}

/** Last known values: a model has no gaps. */
export const held = (values: Float64Array): Float64Array => {
  let last = values.find(value => !Number.isNaN(value)) ?? 0
  return values.map(value => {
    if (!Number.isNaN(value)) last = value
    return last
  })
}

/** °C; of what stays as it is: what is not so warm counts in what is always there */
const usually = 20

/** h by the shop's clock at which the sun is highest, about: between a time zone's own noon and one o'clock of summer time */
const noon = 12.5

/** @returns 0..1 by the hour: what falls through roof and windows, whatever the clouds do */
export const sunByHour = ({ hour }: Pick<Courses, 'hour'>): Float64Array =>
  hour.map(h => Math.max(0, Math.cos((2 * Math.PI * (h - noon)) / 24)))

/** Part of an interval, 0..1, that lies within the working hours of its day. Hours: its middle, its width, from and to. */
export const partAtWork = (hour: number, width: number, from: number, to: number): number =>
  Math.max(0, Math.min(1, (hour + width / 2 - from) / width, (to - hour + width / 2) / width))

/** A place that is run along. */
interface Running {
  values: readonly number[]
  /** those of them that have a name */
  terms: Record<HallTerm, number>
  air: number
  heavy: number
  acts: (Act | undefined)[]
  neighbours: number[]
  fade: number
  reach: number
  heavyPart: number
  rate: number
}

const termsOf = (values: readonly number[]) =>
  Object.fromEntries(hallTerms.map((name, k) => [name, values[k]!])) as Record<HallTerm, number>

/**
 * Runs places of the shop's air along, each with its own heating and cooling that answers whatever happens.
 *
 * @param halls  with the values to run with
 * @param towards course of each place as measured; a place of no hall is a neighbour that is as it was measured
 * @param told   how it was, to begin with; and what kept it there in another run
 */
export const runHalls = (
  halls: readonly {
    hall: Pick<HallModel, 'place' | 'sources' | 'neighbours' | 'weekdays'>
    values: readonly number[]
  }[],
  courses: Pick<Courses, 'hour' | 'weekday' | 'spacing' | 'length'>,
  acting: Acting,
  measured: ReadonlyMap<string, Float64Array>,
  settings: {
    otherwise?: Otherwise
    kept?: 'measured' | readonly Float64Array[]
    together?: boolean
    /** index from which on nothing is measured yet */
    ahead?: number
    /** by interval, whether heating and cooling keep what they keep at work: 1 or 0; NaN: by their hours */
    heated?: Float64Array
  },
): { air: Float64Array[]; kept: Float64Array[] } => {
  const { hour, weekday, length } = courses
  const h = courses.spacing / 3600
  const { otherwise, kept } = settings
  const begin = otherwise?.begin ?? length
  const places = halls.map(({ hall }) => hall.place)
  const outdoorsMean = otherwise?.outdoors ? meanOf(acting.outdoors, begin) : 0
  const sunMean = otherwise?.outdoors ? meanOf(acting.sun, begin) : 0
  const running = halls.map(({ hall, values }): Running => {
    const sources = hallTerms.length
    const exchange = hall.neighbours.reduce((sum, _, k) => sum + values[sources + hall.sources.length + k]!, 0)
    const terms = termsOf(values)
    const rate = terms.link + terms.leak + terms.hold + exchange
    const fade = Math.exp(-rate * h)
    const air = measured.get(hall.place)![0]!
    return {
      values,
      terms,
      air,
      heavy: air,
      rate,
      fade,
      reach: (1 - fade) / rate,
      heavyPart: 1 - Math.exp(-h / terms.heavy),
      acts: hall.sources.map(id => acting.pulls.get(id)),
      neighbours: hall.neighbours.map(id => (settings.together ? places.indexOf(id) : -1)),
    }
  })
  const measuredNeighbours = halls.map(({ hall }) => hall.neighbours.map(id => measured.get(id)!))
  const own = halls.map(({ hall }) => measured.get(hall.place)!)
  const air = halls.map(() => new Float64Array(length))
  const corrections = halls.map(() => new Float64Array(length))
  const before = new Float64Array(halls.length)
  for (let i = 0; i < length; i++) {
    const isOther = i >= begin
    running.forEach((each, z) => {
      before[z] = each.air
    })
    for (let z = 0; z < running.length; z++) {
      const each = running[z]!
      const { hall } = halls[z]!
      const v = each.values
      const { link, leak, hold, sun, people, base, heating, cooling, day, setback, gap, rest, from, to } = each.terms
      const works = hall.weekdays[weekday[i]!] ? partAtWork(hour[i]!, h, from, to) : 0
      const told = settings.heated?.[i] ?? Number.NaN
      const atWork = Number.isNaN(told) ? (isOther && otherwise!.week ? 1 : works) : told
      const present =
        isOther && otherwise!.week ? (hall.weekdays.filter(Boolean).length * Math.max(0, to - from)) / 168 : works
      const outdoors = isOther && otherwise!.outdoors ? outdoorsMean : acting.outdoors[i]!
      const sunNow = isOther && otherwise!.outdoors ? sunMean : acting.sun[i]!
      let gain = link * each.heavy + leak * outdoors + sun * sunNow + people * present + base + hold * usually
      for (let k = 0; k < each.acts.length; k++) {
        const act = each.acts[k]
        const part = act ? act.part[i]! : 0
        if (part === 0 || (isOther && otherwise!.off.includes(hall.sources[k]!))) continue
        const { towards, fromOutdoors } = act!
        const drawn = fromOutdoors && isOther && otherwise!.outdoors ? outdoorsMean : towards?.[i]
        gain += v[hallTerms.length + k]! * part * (drawn === undefined ? 1 : drawn - each.air)
      }
      for (let k = 0; k < each.neighbours.length; k++) {
        const n = each.neighbours[k]!
        const there = n >= 0 ? before[n]! : measuredNeighbours[z]![k]![i]!
        gain += v[hallTerms.length + each.acts.length + k]! * there
      }
      const rests = gain / each.rate
      let next = rests + (each.air - rests) * each.fade
      const floor = day - (1 - atWork) * setback
      const ceiling = day + gap + (1 - atWork) * rest
      if (next < floor) next = Math.min(floor, next + heating * each.reach)
      else if (next > ceiling) next = Math.max(ceiling, next - cooling * each.reach)
      if (kept === 'measured' && i < (settings.ahead ?? length)) {
        const correction = keeping * h * (own[z]![i]! - next)
        corrections[z]![i] = correction
        next += correction
      } else if (kept && kept !== 'measured') next += kept[z]![i]!
      each.heavy += ((each.air + next) / 2 - each.heavy) * each.heavyPart
      each.air = next
      air[z]![i] = next
    }
  }
  return { air, kept: corrections }
}

/** 1/h; how fast a run that is kept at what was measured comes back to it. Judgement: slower than any heating switches */
const keeping = 1

/** What acts on halls. */
export const actingOn = (courses: Courses, pulls: readonly Drive[]): Acting => ({
  outdoors: held(courses.outdoors ?? new Float64Array(courses.length)),
  sun: sunByHour(courses),
  pulls: new Map(pulls.map(drive => [drive.source.id, drive])),
})
