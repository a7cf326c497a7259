/**
 * An invented shop, the independent truth that predictions are tested against. It imports neither core nor server and
 * uses none of their formulas: its screws and scales are chains of cells, its bodies have a skin and a core, its air is
 * mixed by doors, vents and heat sources, and its sensors lie a little.
 *
 * - `demoPlant` is the demo shop as it really is (`demo-shop.yaml` is what its people believe); a `Plant` can be any shop.
 * - `createSimulatedShop(plant, { seed, start, scenario, anchor })` lets it live: `advance` hands out what the sensors
 *   send, `truth` says what is true, `heldDrift` what would become of it if conditions stayed as they are
 *   (`heldCourse` with all that a job's error depends on), `jobCourse` what a job begun at a `mark` would have made of it.
 * - `randomPlant(seed)` is another shop for every seed, `livelyPlant` the same less tidy (work that starts and stops at
 *   random, door traffic, sun, cold parts, nuts that work elsewhere, poor contacts), `shopFile(plant)` the shop file its people would write.
 * - `soaking-part.ts` is a part in somebody's hand, cut into cells: how long it really soaks; `lying-part.ts` one that lies
 *   in the shop's air.
 * - `npm run simulate -- --help` publishes it to a broker.
 *
 * Signs: growth is in m against 20 °C. A screw or scale carries the place s by the expansion of all between its fixed
 * point and s, so places before the fixed point of a warm part come out negative. A structure bar counts with its sign; a
 * bending column with its sign times α·(T_front − T_rear)·H²/(2·D). "Whole growth" is the sum of both.
 */

export { demoPlant } from './demo/plant.js'
export { layPart } from './lying-part.js'
export type { MachineMark } from './machine.js'
export type { Plant } from './plant.js'
export { livelyPlant, type PlannedFault, type RandomPlant, randomPlant, shopFile } from './random/index.js'
export { type ScenarioName, scenarioNames, scenarios } from './scenarios.js'
export { type FaultKind, faultKinds } from './sensor.js'
export {
  createSimulatedShop,
  type HeldState,
  type MachineTruth,
  type Message,
  type Otherwise,
  type SimulatedShop,
} from './shop.js'
export type { AxisTruth } from './truth.js'
