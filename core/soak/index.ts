/** Soak: how long a part or gauge needs until it has the temperature of what surrounds it. */
export { lumpedBelow, type Response, responseOf, type Shape } from './body.js'
export { ballModes, cylinderModes, slabModes } from './modes.js'
export { type Part, type PartSoak, soakPart } from './soak-part.js'
export { type Coefficient, filmsOf, type SoakingPlace, type Surface, soakingPlaces, surfaces } from './surroundings.js'
