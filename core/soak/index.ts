/** Soak: how long a part or gauge needs until it has the temperature of what surrounds it. */
export { lumpedBelow, responseOf, type Shape } from './body.js'
export { type Part, type PartSoak, soakPart } from './soak-part.js'
export { type Coefficient, filmsOf, type SoakingPlace, type Surface, soakingPlaces, surfaces } from './surroundings.js'
