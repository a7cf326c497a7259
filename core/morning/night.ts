import { highest, lowest, quantile } from '../statistics/index.js'
import type { Night } from './check.js'
import { between, type Course, fastestOf, swingOf } from './course.js'
import { type SetbackTonight, setbackOf } from './setback.js'
import { leastNights, usualCourse, usually } from './usual.js'

// A night beside the nights of its kind. All courses of a night lie on times of this night's clock: a value of another
// night belongs to the time at which the wall clock showed the same.

/** The air of a place: this night, and on the same times the nights of the same kind. */
export interface AirOfNight extends Course {
  id: string
  name: string
  /** °C; a row for each of the other nights, as long as the times; null where nothing was believed */
  nights: (number | null)[][]
  /** s outside its limits; null where none are stated */
  outside: number | null
}

/** What is known of a night, and of the others of its kind. */
export interface NightCourses {
  /** ms; the last shift's end, and now */
  from: number
  to: number
  /** the air that is heated first; outdoors, id `outdoors`, is no such air. They may begin earlier, and go on later */
  airs: AirOfNight[]
  /** doors, vents, heat sources: when they were open or ran, and for how long in the other nights, s */
  sources: {
    source: string
    kind: 'door' | 'vent' | 'heat source'
    active: { from: number; to: number }[]
    nights: number[]
  }[]
  machines: {
    machine: string
    /** s outside the limits of its surroundings; null where none are stated */
    outside: number | null
    /** m; growth against the reference temperature, and its swing in each of the other nights */
    axes: (Course & { axis: string; nights: number[] })[]
  }[]
  failed: Night['failed']
}

type Unusual = Night['unusual'][number]

// Judgement, no source: what is worth a line on a page that is read in a minute.
const minute = 60_000
/** ms; heating that comes so much later, or earlier, than usual is worth a word */
const worthNaming = 20 * minute
/** s; a door that is open for so much longer than usual is too */
const longer = 15 * 60
/** K; air that lies so little beside the usual band is as usual: a few nights are too even for what weather does */
const beside = 0.3
/** m; a growth that is larger than usual by less is not worth a word */
const larger = 2e-6
/** factor on what is exceeded on one night of twenty: what is larger still is worth a word */
const clearly = 1.2

const last = <T>(values: readonly T[]): T | undefined => values[values.length - 1]

/** @param air the one that the setback was seen in */
const unusualHeating = (
  setback: SetbackTonight | null,
  air: Night['airs'][number] | undefined,
  to: number,
): Unusual[] => {
  const usual = setback?.usualBack ?? null
  const now = last(air?.course.value.filter(value => value !== null) ?? [])
  const usualAir = last(air?.usual?.median ?? [])
  if (!setback || usual === null || now === undefined || usualAir === undefined) return []
  const margin = Math.max(worthNaming, setback.spread)
  const late = (setback.back ?? to) - usual
  if (setback.back === null ? late <= margin : Math.abs(late) <= margin) return []
  return [{ kind: 'heating', back: setback.back, usual, air: now, usualAir }]
}

const unusualAir = ({ id, name, course, usual, nights }: Night['airs'][number], known: AirOfNight): Unusual[] => {
  if (id === 'outdoors') {
    const lows = known.nights.flatMap(values => {
      const there = values.filter(value => value !== null)
      return there.length > 0 ? lowest(there) : []
    })
    const values = course.value.filter(value => value !== null)
    const coldest = lowest(values)
    if (lows.length < leastNights || values.length === 0 || coldest >= lowest(lows)) return []
    return [{ kind: 'outdoors', lowest: coldest, at: course.at[course.value.indexOf(coldest)]!, ofNights: nights }]
  }
  const at = course.value.findLastIndex(value => value !== null)
  const i = usual?.at.indexOf(course.at[at] ?? Number.NaN) ?? -1
  if (!usual || at < 0 || i < 0) return []
  const [now, low, high] = [course.value[at]!, usual.low[i]!, usual.high[i]!]
  return now >= low - beside && now <= high + beside ? [] : [{ kind: 'air', name, now, low, high }]
}

const unusualSource = ({ source, active, nights }: NightCourses['sources'][number], to: number): Unusual[] => {
  const usual = usually(nights)
  const lasted = active.reduce((sum, span) => sum + span.to - span.from, 0) / 1000
  if (usual === null || lasted <= Math.max(usual + longer, clearly * quantile(nights, 0.95))) return []
  return [{ kind: 'open', source, for: lasted, usual, still: last(active)?.to === to }]
}

/** Growth since the beginning of the night. */
const sinceFirst = ({ at, value }: Course) => {
  const first = value.find(each => each !== null) ?? 0
  return { at: [...at], value: value.map(each => (each === null ? null : each - first)) }
}

/** What a machine's axis did over the night, m. */
export const growthOfNight = (
  { from, to }: Pick<NightCourses, 'from' | 'to'>,
  axis: NightCourses['machines'][number]['axes'][number],
) => {
  const growth = sinceFirst(between(axis, from, to))
  return {
    axis: axis.axis,
    growth: growth.value.findLast(value => value !== null) ?? null,
    swing: swingOf(growth.value),
    usualSwing: usually(axis.nights),
  }
}

/** 1 where an axis went further up than down from where it was at the beginning of the night, −1 otherwise */
const towards = ({ from, to }: Pick<NightCourses, 'from' | 'to'>, axis: Course): 1 | -1 => {
  const known = sinceFirst(between(axis, from, to)).value.filter(value => value !== null)
  return highest(known) >= -lowest(known) ? 1 : -1
}

const unusualGrowth = (courses: NightCourses): Unusual[] =>
  courses.machines.flatMap(({ machine, axes }) => {
    const found = axes.flatMap(axis => {
      const { swing, usualSwing: usual } = growthOfNight(courses, axis)
      const isLarge =
        swing !== null && usual !== null && swing > usual + larger && swing > clearly * quantile(axis.nights, 0.95)
      return isLarge
        ? [{ kind: 'growth' as const, machine, axis: axis.axis, amount: towards(courses, axis) * swing, usual }]
        : []
    })
    // one line for a machine: what moved one axis moved the others
    const most = highest(found.map(({ amount }) => Math.abs(amount)))
    return found.filter(({ amount }) => Math.abs(amount) === most).slice(0, 1)
  })

/**
 * The night from the last shift's end to now, beside the usual one: the median and the 90 % band of the nights of the same
 * kind.
 *
 * @returns null where nothing is known of it
 */
export const nightOf = (courses: NightCourses): Night | null => {
  const { from, to } = courses
  const airs = courses.airs.map(known => {
    const course = between(known, from, to)
    const inNight = known.at.flatMap((moment, i) => (moment >= from && moment < to ? [i] : []))
    const nights = known.nights.map(values => inNight.map(i => values[i] ?? null))
    return {
      id: known.id,
      name: known.name,
      course,
      usual: usualCourse(course.at, nights),
      nights: nights.filter(values => values.some(value => value !== null)).length,
      swing: swingOf(course.value),
      fastest: fastestOf(course),
      outside: known.outside,
    }
  })
  const machines = courses.machines.map(({ machine, outside, axes }) => ({
    machine,
    outside,
    axes: axes.map(axis => ({ axis: axis.axis, growth: sinceFirst(between(axis, from, to)) })),
  }))
  const isKnown = (values: readonly (number | null)[]) => values.some(value => value !== null)
  if (
    ![...airs.map(each => each.course), ...machines.flatMap(each => each.axes.map(axis => axis.growth))].some(each =>
      isKnown(each.value),
    )
  )
    return null
  const indoors = courses.airs.filter(({ id }) => id !== 'outdoors')
  let heated: { air: string; setback: SetbackTonight } | null = null
  for (const air of indoors) {
    // what comes after now is known of the other nights only
    const tonight = { at: air.at, value: air.value.map((value, i) => (air.at[i]! < to ? value : null)) }
    const setback = setbackOf(tonight, air.nights)
    heated ??= setback && { air: air.id, setback }
  }
  const ofHeated = airs.find(({ id }) => id === heated?.air)
  const heating = unusualHeating(heated?.setback ?? null, ofHeated, to)
  const setback = heated && {
    began: heated.setback.began,
    back: heated.setback.back,
    usualBack: heated.setback.usualBack,
  }
  return {
    from,
    to,
    airs,
    machines,
    sources: courses.sources.map(({ source, active }) => ({ source, active })),
    setback,
    failed: courses.failed,
    unusual: [
      ...heating,
      ...courses.sources.filter(({ kind }) => kind !== 'heat source').flatMap(each => unusualSource(each, to)),
      // that the air is off is said with the heating
      ...airs.flatMap((air, i) => (heating.length > 0 && air === ofHeated ? [] : unusualAir(air, courses.airs[i]!))),
      ...unusualGrowth(courses),
    ],
  }
}
