/** Soak: how long a part or gauge needs until it has the temperature of what surrounds it. */
export { footprintOf, lumpedBelow, type Response, responseOf, type Shape } from './body.js'
export type { Stretch } from './course.js'
export { ballModes, cylinderModes, meanLeft, slabModes } from './modes.js'
export { type Part, type PartSoak, type Surroundings, soakPart } from './soak-part.js'
export { type Coefficient, filmsOf, type SoakingPlace, type Surface, soakingPlaces, surfaces } from './surroundings.js'
