import type { Courses } from './courses.js'
import { type Drive, drives } from './drives.js'
import { type Acting, actingOn, held, runHalls } from './hall.js'
import { meanOf } from './known.js'
import { lagged } from './lag.js'
import type { ShopModel } from './model.js'
import { answersTheAir } from './thermostat.js'

/** What one cause did to every place over a span, K, by place: what it would have been without is what it was less this. */
export type Effects = Map<string, Float64Array>

/** a drawing of the block bootstrap, or the most probable values */
export type Which = number | null

/**
 * The effects of causes on the places of a shop, from a moment on: before it, everything was as it was. Heating and cooling answer
 * what is otherwise, as they always do.
 *
 * @param courses of the span, or more
 * @param begin index of the first interval from which a cause is taken away
 */
export class ShopEffects {
  readonly drives: readonly Drive[]
  private readonly columns = new Map<string, Float64Array>()
  private readonly acting: Acting
  private readonly measured: ReadonlyMap<string, Float64Array>
  private readonly asItWas = new Map<Which, ReturnType<typeof runHalls>>()

  constructor(
    private readonly model: ShopModel,
    private readonly courses: Courses,
    readonly begin: number,
  ) {
    this.drives = drives(courses)
    this.acting = actingOn(courses, this.drives)
    this.measured = new Map(courses.places.map(({ id, temperature }) => [id, held(temperature)]))
  }

  /**
   * What causes did together: sources that would have stayed shut or off, outdoors and sun that would have stayed at their mean, the
   * week that would have known no night's setback and people spread evenly.
   *
   * @param causes ids of sources, `outdoors`, `week`
   */
  of(causes: readonly string[], which: Which): Effects {
    const found: Effects = new Map()
    const { halls } = this.model
    if (halls.length > 0) {
      const was = this.asItWas.get(which) ?? this.run(which)
      this.asItWas.set(which, was)
      const without = this.run(which, causes, was.kept)
      halls.forEach(({ place }, z) => {
        found.set(place, difference(was.air[z]!, without.air[z]!))
      })
    }
    const isConstant = causes.includes('outdoors')
    return carriedOn(this.model, this.courses, found, which, (source, lag) =>
      causes.includes(source) ? this.column(source, lag) : isConstant ? this.byOutdoors(source, lag, found) : null,
    )
  }

  /** The course of a place as far as it follows other places, but for a constant; null where it is not in the model. */
  following(id: string): Float64Array | null {
    const place = this.model.places.find(each => each.place === id)
    if (!place) return null
    const sum = new Float64Array(this.courses.length)
    for (const { of, kind, lags, factors } of place.influences) {
      const course = kind === 'place' && this.courses.places.find(other => other.id === of)?.temperature
      if (!course) continue
      lags.forEach((lag, k) => {
        add(sum, lagged(course, lag, this.courses.spacing), factors[k]!)
      })
    }
    return sum
  }

  /** Whether a source is the shop's own heating: see `answersTheAir`. */
  isHeating(source: string): boolean {
    const drive = this.drives.find(each => each.source.id === source)
    return drive !== undefined && answersTheAir(this.courses, drive)
  }

  private run(which: Which, without?: readonly string[], kept?: readonly Float64Array[]): ReturnType<typeof runHalls> {
    const halls = this.model.halls.map(hall => ({ hall, values: asDrawn(which, hall.values, hall.drawn) }))
    const otherwise = without && {
      begin: this.begin,
      off: without,
      outdoors: without.includes('outdoors'),
      week: without.includes('week'),
    }
    const settings = { ...(otherwise && { otherwise }), kept: kept ?? ('measured' as const), together: true }
    return runHalls(halls, this.courses, this.acting, this.measured, settings)
  }

  /** What streams from a door, K, for the outdoors are not as they are on average; null: it draws in none of them. */
  private byOutdoors(of: string, lag: number, did: Effects): Float64Array | null {
    const drive = this.drives.find(({ source }) => source.id === of)
    if (!drive?.fromOutdoors) return null
    const { begin, acting } = this
    const mean = meanOf(acting.outdoors, begin)
    const pull = drive.part.map((part, i) => {
      if (i < begin || part === 0) return 0
      const around = drive.around.reduce((sum, { id }) => sum + (did.get(id)?.[i] ?? 0), 0) / drive.around.length
      return part * (acting.outdoors[i]! - mean - around)
    })
    return lagged(pull, lag, this.courses.spacing, 0)
  }

  private column(of: string, lag: number): Float64Array {
    const key = `${of} ${lag}`
    const known = this.columns.get(key)
    if (known) return known
    const { spacing, length } = this.courses
    const course = this.drives.find(({ source }) => source.id === of)?.pull ?? new Float64Array(length)
    const made = lagged(
      course.map((value, i) => (i < this.begin ? 0 : value)),
      lag,
      spacing,
      0,
    )
    this.columns.set(key, made)
    return made
  }
}

/** The most probable values, or those of a drawing. */
export const asDrawn = (which: Which, likely: readonly number[], drawn: readonly (readonly number[])[]) =>
  which === null ? likely : (drawn[which] ?? likely)

/** Places in an order in which each comes after those it follows: coolants follow the air at their machines. */
export const coolantsLast = (places: ShopModel['places'], courses: Pick<Courses, 'places'>): ShopModel['places'] => {
  const isCoolant = (place: string) => courses.places.find(({ id }) => id === place)?.kind === 'coolant'
  return [...places].sort((a, b) => Number(isCoolant(a.place)) - Number(isCoolant(b.place)))
}

/**
 * Carries effects on the halls, and what streams from sources, on to the places that follow them.
 *
 * @param found of the halls; those of the other places are added to it
 * @param stream K; what a source does beside itself, by its lag (s); null: nothing
 */
export const carriedOn = (
  { places }: Pick<ShopModel, 'places'>,
  courses: Pick<Courses, 'places' | 'spacing' | 'length'>,
  found: Effects,
  which: Which,
  stream: (source: string, lag: number) => Float64Array | null,
): Effects => {
  for (const place of coolantsLast(places, courses)) {
    const sum = new Float64Array(courses.length)
    for (const { of, kind, lags, factors, drawn } of place.influences) {
      const by = asDrawn(which, factors, drawn)
      const effect = kind === 'place' ? found.get(of) : undefined
      lags.forEach((lag, k) => {
        const column = !by[k]
          ? null
          : effect
            ? lagged(effect, lag, courses.spacing, 0)
            : kind === 'source'
              ? stream(of, lag)
              : null
        if (column) add(sum, column, by[k]!)
      })
    }
    found.set(place.place, sum)
  }
  return found
}

/** What one course is more than another, interval by interval. */
export const difference = (a: Float64Array, b: Float64Array): Float64Array => a.map((value, i) => value - b[i]!)

/** Adds a column times a factor to a sum, in place. */
export const add = (sum: Float64Array, column: Float64Array, factor: number): void => {
  for (let i = 0; i < sum.length; i++) sum[i]! += factor * column[i]!
}

/** The sources, and `outdoors`, of which a model tells what they do. */
export const learnedCauses = ({ halls, places }: ShopModel): Set<string> =>
  new Set([
    ...halls.flatMap(({ sources }) => [...sources, 'outdoors']),
    ...places.flatMap(({ influences }) => influences.flatMap(({ of, kind }) => (kind === 'source' ? [of] : []))),
  ])
