/** The one learned model of the shop: what the air and the machines owe to doors, vents, heat sources, outdoors and week. */
export { type PlannedSource, ShopAhead, shopHeating } from './ahead.js'
export {
  type Cause,
  type Interval,
  type Openings,
  type SourcesAnswer,
  sourcesAnswer,
  type WhatIfAnswer,
  whatIfAnswer,
} from './answer.js'
export type { Courses, Place, SourceCourse } from './courses.js'
export { cycles } from './cycling.js'
export { drives } from './drives.js'
export { learnedCauses, ShopEffects, type Which } from './effects.js'
export { fewestDays, learning } from './learn.js'
export { type MachineCourse, MachineEffects, type NodeCourse, type NodeEffects } from './machine-effects.js'
export { effectUnsure, isRough } from './misfit.js'
export { type ShopModel, shopModel } from './model.js'
export { fewestOpenings, meanResponse, openingsOf } from './openings.js'
export { growthOf, shares } from './shares.js'
export { type SourcesAhead, sourcesAhead } from './sources-ahead.js'
