import type { Thermal } from '../materials.js'
import type { Material } from '../shop.js'
import { footprintOf, type Response, responseOf, type Shape, surfaceOfBalls } from './body.js'
import { differenceAt, type Stretch, settledAfter } from './course.js'
import { type Coefficient, filmsOf, type SoakingPlace, type Surface, throughPlate } from './surroundings.js'

/** A part or gauge that is to take on the temperature of what surrounds it. */
export interface Part {
  material: Pick<Material, 'alpha' | 'alphaUncertainty'> & { thermal: Thermal }
  shape: Shape
  surface: Surface
  /** m; the length whose error counts */
  length: number
}

/** What it soaks in: where it lies, and the temperature there (of air and plate, or of the coolant). */
interface Surroundings {
  place: SoakingPlace
  /** from 0 s on; one stretch for a temperature that stays */
  course: readonly Stretch[]
}

/** s since the soak began */
interface Interval {
  earliest: number
  likely: number
  latest: number
}

/** How long a part soaks, and what that was computed with. */
export interface PartSoak {
  /** s since the soak began until the remaining error is within what is allowed, and stays so */
  ready: Interval
  /** of the likely case */
  model: Response['model']
  /** Biot number of the likely case, the largest of its directions */
  biot: number
  /** K; the mean difference from the surroundings that is allowed */
  allowedDifference: number
  /** W/m²/K; on the faces that stand free */
  free: Coefficient
  /** W/m²/K; on the face it lies on, the plate's own resistance in it; null when that is like the others */
  contact: Coefficient | null
  /** m; remaining error of the length, positive when it is still too long. @param after s since the soak began */
  remaining: (after: number) => { low: number; likely: number; high: number }
}

/**
 * What is not known of a soak, as one case takes it: the coefficients of heat transfer in W/m²/K, the properties of the
 * material as factors on their likely values, the surface in those of a ball.
 */
interface Case {
  free: number
  contact: number
  /** factor on density times specific heat */
  heat: number
  conductivity: number
  alpha: number
  surface: number
}

const positive = (value: number, what: string): void => {
  if (!(value > 0 && Number.isFinite(value))) throw new RangeError(`${what} must be above 0, not ${value}`)
}

const check = ({ shape, length, material }: Part, start: number, { course }: Surroundings, allowed: number): void => {
  for (const [what, value] of Object.entries(shape)) if (what !== 'kind') positive(Number(value), what)
  positive(length, 'the length that counts')
  positive(material.alpha, 'the coefficient of expansion')
  positive(allowed, 'the allowed error')
  if (!Number.isFinite(start)) throw new RangeError(`the start temperature must be a number, not ${start}`)
  if (course[0]?.after !== 0 || course.some(({ after }, i) => i > 0 && !(after > course[i - 1]!.after)))
    throw new RangeError('the course of the surroundings must begin at 0 s and be in order of time')
  if (course.some(({ temperature }) => !Number.isFinite(temperature)))
    throw new RangeError('every temperature of the surroundings must be a number')
}

/** root of the sum of squares of the distances on one side */
const together = (distances: readonly number[]): number => Math.hypot(...distances.map(each => Math.max(each, 0)))

/**
 * How long a part soaks: until its length, by its mean temperature, is within the allowed error of what it will be in its
 * surroundings. That these are not at 20 °C is another error, and stays.
 *
 * The interval: each thing not known is moved to both its limits (coefficients of heat transfer, surface of a part of
 * which only the mass is known) or by twice its standard uncertainty (properties of the material) while all else is as
 * likely; what that changes counts together as the root of the sum of squares (independent causes; GUM 5.1). The limits
 * of a coefficient count whole, so the interval is careful: of 300 random parts in the simulator, their coefficients
 * anywhere in the ranges, 288 were ready within it.
 *
 * @param start   °C; the part's, the same all through
 * @param allowed m; remaining error that is within its share
 * @throws RangeError when a size, length or error is not above 0, or the course of the surroundings not in order
 */
export const soakPart = (part: Part, start: number, surroundings: Surroundings, allowed: number): PartSoak => {
  check(part, start, surroundings, allowed)
  const { material, shape, surface, length } = part
  const { thermal } = material
  const { place, course } = surroundings
  const films = filmsOf(place, surface)
  const footprint = films.contact && footprintOf(shape)
  const contact = footprint ? films.contact : null
  const onPlate = (film: number) => throughPlate(place, film, footprint ?? 0)

  const likely: Case = {
    free: films.free.likely,
    contact: contact?.likely ?? 0,
    heat: 1,
    conductivity: 1,
    alpha: 1,
    surface: shape.kind === 'mass' ? surfaceOfBalls.likely : 1,
  }
  const between = (what: keyof Case, { low, high }: { low: number; high: number }): Case[] => [
    { ...likely, [what]: low },
    { ...likely, [what]: high },
  ]
  const both = (what: keyof Case, relative: number): Case[] =>
    between(what, { low: Math.max(1 - 2 * relative, 0.1), high: 1 + 2 * relative })
  const solve = (of: Case) => {
    const response = responseOf(
      shape,
      {
        ...thermal,
        specificHeat: thermal.specificHeat * of.heat,
        conductivity: thermal.conductivity * of.conductivity,
      },
      { free: of.free, contact: contact ? onPlate(of.contact) : of.free },
      of.surface,
    )
    const perKelvin = material.alpha * of.alpha * length
    return {
      response,
      ready: settledAfter(response.left, start, course, allowed / perKelvin),
      error: (after: number) => perKelvin * differenceAt(response.left, start, course, after),
    }
  }
  const solved = solve(likely)
  // one list for each cause, its two limits
  const causes = [
    between('free', films.free),
    ...(contact ? [between('contact', contact)] : []),
    both('heat', thermal.heatUncertainty),
    both('conductivity', thermal.conductivityUncertainty),
    both('alpha', material.alphaUncertainty),
    ...(shape.kind === 'mass' ? [between('surface', surfaceOfBalls)] : []),
  ].map(cases => cases.map(solve))
  /** the limits of a figure, from its likely value and what each cause makes of it */
  const limits = (of: (case_: ReturnType<typeof solve>) => number) => {
    const value = of(solved)
    const values = causes.map(cases => cases.map(of))
    const low = value - together(values.map(each => value - Math.min(...each)))
    const high = value + together(values.map(each => Math.max(...each) - value))
    // what is above or below 0 in every case is so in the interval
    const all = [value, ...values.flat()]
    return {
      low: all.every(each => each >= 0) ? Math.max(low, 0) : low,
      likely: value,
      high: all.every(each => each <= 0) ? Math.min(high, 0) : high,
    }
  }
  const ready = limits(each => each.ready)
  return {
    ready: { earliest: ready.low, likely: ready.likely, latest: ready.high },
    model: solved.response.model,
    biot: solved.response.biot,
    allowedDifference: allowed / (material.alpha * length),
    free: films.free,
    contact: contact && {
      low: onPlate(contact.low),
      likely: onPlate(contact.likely),
      high: onPlate(contact.high),
      source: contact.source,
    },
    remaining: after => limits(each => each.error(after)),
  }
}
