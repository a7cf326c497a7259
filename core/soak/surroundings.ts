/**
 * What a part gives its heat to while it soaks: coefficients of heat transfer, W/m²/K, each as a range. The range is what
 * a person with the part in hand cannot know better; within it the likely value is our judgement.
 */

/** A coefficient of heat transfer, W/m²/K: limits and what is likely. */
export interface Coefficient {
  low: number
  likely: number
  high: number
  source: string
}

/** where a part may lie while it soaks */
export const soakingPlaces = ['still air', 'steel plate', 'granite plate', 'flood coolant'] as const
export type SoakingPlace = (typeof soakingPlaces)[number]

export const surfaces = ['bright', 'rough'] as const
/** bright: machined, ground or lapped metal; rough: cast, scaled, anodised or painted, and stone and glass */
export type Surface = (typeof surfaces)[number]

const freeConvection =
  'Free convection in gases 2 to 25 W/m²/K (Incropera & DeWitt, table 1.1, from memory); for a few kelvin and a part of 20 to 300 mm 2 to 5 (1.42·(ΔT/L)^¼, from memory)'

const air: Record<Surface, Coefficient> = {
  bright: {
    low: 3,
    likely: 4.5,
    high: 7,
    source: `${freeConvection}, radiation of bright metal (emissivity 0.1 to 0.3) 0.6 to 1.7; the range common practice, no source`,
  },
  rough: {
    low: 6,
    likely: 8.5,
    high: 12,
    source: `${freeConvection}, radiation of a dull surface (emissivity 0.8 to 0.95) 4.5 to 5.5; the range common practice, no source`,
  },
}

/** An air film between two faces that touch at their highest points, under the part's own weight. */
const film = 'common practice, no source'
const contact: Record<Surface, Coefficient> = {
  bright: { low: 150, likely: 600, high: 2000, source: `Air film of 13 to 170 µm below the part; ${film}` },
  rough: { low: 50, likely: 150, high: 400, source: `Air film of 0.07 to 0.5 mm below the part; ${film}` },
}

const coolant: Coefficient = {
  low: 300,
  likely: 1000,
  high: 3000,
  source:
    'Forced convection in liquids 100 to 20,000 W/m²/K (Incropera & DeWitt, table 1.1, from memory); the range for a flood over the whole part common practice, no source',
}

/**
 * W/m/K; of the plates that parts are laid on: granite as in the table of materials, steel a usual value from memory
 */
const plateConductivity = { 'steel plate': 50, 'granite plate': 2.79 }

/** What the faces of a part meet. */
interface Films {
  /** on every face that stands free */
  free: Coefficient
  /** on the face it lies on; null when that is like the others */
  contact: Coefficient | null
}

/** @returns the stated coefficients for a place and a surface, without the plate's own resistance */
export const filmsOf = (place: SoakingPlace, surface: Surface): Films => {
  if (place === 'flood coolant') return { free: coolant, contact: null }
  return { free: air[surface], contact: place === 'still air' ? null : contact[surface] }
}

/**
 * The film below a part and the spreading of its heat into a thick plate, in series, as one coefficient. The plate's part
 * is that of a disc of one temperature on a half-infinite body, R = 1/(4·k·a).
 *
 * @param film      W/m²/K; contact between part and plate
 * @param footprint m²; the face that lies on the plate
 * @returns W/m²/K
 * @see Incropera & DeWitt, table of conduction shape factors (disc on a semi-infinite medium, S = 2·D), from memory
 */
export const throughPlate = (place: SoakingPlace, film: number, footprint: number): number => {
  if (place !== 'steel plate' && place !== 'granite plate') return film
  const radius = Math.sqrt(footprint / Math.PI)
  return 1 / (1 / film + (Math.PI * radius) / (4 * plateConductivity[place]))
}
