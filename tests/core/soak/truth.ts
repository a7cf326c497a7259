import { materials } from '../../../core/materials.js'
import { type Part, type SoakingPlace, soakingPlaces, surfaces } from '../../../core/soak/index.js'
import { filmsOf, throughPlate } from '../../../core/soak/surroundings.js'
import { around, oneOf } from '../../../simulators/random/draws.js'
import type { Random } from '../../../simulators/random.js'
import type { CutPart } from '../../../simulators/soaking-part.js'

/** m; small and large ones equally often */
const size = (draws: Random, low: number, high: number) => low * (high / low) ** draws.uniform()

export interface Drawn {
  part: Part
  place: SoakingPlace
  /** °C */
  start: number
  /** °C */
  surroundings: number
  /** m */
  allowed: number
}

/** A part as somebody might have it in hand, of any material of the table. */
export const drawPart = (draws: Random): Drawn => {
  const material = oneOf(draws, materials)
  const kind = oneOf(draws, ['block', 'cylinder', 'ball'] as const)
  const side = () => size(draws, 0.008, 0.2)
  const shape: Part['shape'] =
    kind === 'block'
      ? { kind, length: side(), width: side(), height: side() }
      : kind === 'cylinder'
        ? { kind, diameter: side(), length: side() }
        : { kind, diameter: side() }
  const length = 0.1
  const surroundings = draws.between(16, 26)
  const away = draws.between(2, 20) * (draws.uniform() < 0.5 ? -1 : 1)
  return {
    part: { material, shape, surface: oneOf(draws, surfaces), length },
    place: oneOf(draws, soakingPlaces),
    start: surroundings + away,
    surroundings,
    // a third to a thirtieth of what it is off by at first
    allowed: material.alpha * length * Math.abs(away) * size(draws, 0.03, 0.3),
  }
}

/** What a drawn part may really be: factors on properties, and where in their ranges the coefficients lie, 0 to 1. */
export interface Real {
  heat: number
  conductivity: number
  alpha: number
  /** as likely when not given */
  free?: number
  contact?: number
}

/** Properties as uncertain as the table states them; coefficients anywhere in their ranges, small or large as often. */
export const drawReal = (draws: Random, { part }: Drawn): Real => {
  const { alphaUncertainty, thermal } = part.material
  return {
    heat: around(draws, 1, thermal.heatUncertainty),
    conductivity: around(draws, 1, thermal.conductivityUncertainty),
    alpha: around(draws, 1, alphaUncertainty),
    free: draws.uniform(),
    contact: draws.uniform(),
  }
}

const logBetween = ({ low, high }: { low: number; high: number }, where: number) => low * (high / low) ** where

/** The part as the simulator cuts it up. @param real not given: all as likely */
export const cut = ({ part, place }: Drawn, real?: Real): CutPart => {
  const { thermal } = part.material
  const films = filmsOf(place, part.surface)
  const pick = (coefficient: { low: number; likely: number; high: number }, where: number | undefined) =>
    where === undefined ? coefficient.likely : logBetween(coefficient, where)
  const film = pick(films.free, real?.free)
  const { shape } = part
  const contact = films.contact && pick(films.contact, real?.contact)
  const common = {
    conductivity: thermal.conductivity * (real?.conductivity ?? 1),
    volumeHeat: thermal.density * thermal.specificHeat * (real?.heat ?? 1),
    film,
  }
  const lying = (footprint: number) => (contact === null ? film : throughPlate(place, contact, footprint))
  if (shape.kind === 'block')
    return {
      ...common,
      body: { kind: 'block', size: [shape.height, shape.length, shape.width] },
      below: lying(shape.length * shape.width),
    }
  if (shape.kind === 'cylinder') return { ...common, body: shape, below: lying((Math.PI / 4) * shape.diameter ** 2) }
  if (shape.kind === 'ball') return { ...common, body: shape, below: film }
  throw new Error(`${shape.kind} is not drawn`)
}
