import { describeProblems, parseShop, readShop } from '../../server/shop/index.js'
import {
  createSimulatedShop,
  demoPlant,
  livelyPlant,
  randomPlant,
  type ScenarioName,
  shopFile,
} from '../../simulators/index.js'
import { examine } from './examine.js'
import type { Heated } from './heating.js'
import { examineMornings, type MorningsRecord } from './mornings.js'
import type { ExamRecord } from './records.js'
import { examineSensors } from './sensors.js'
import type { SuspectsRecord } from './suspects.js'

/** s */
const step = 60
const judgeEvery = 300
const readyEvery = 900

/** Examines the demo shop, its sensors reporting once a minute. */
export const examineDemo = async (
  { seed, from, days, scenario }: { seed: number; from: number; days: number; scenario: ScenarioName },
  onProgress?: (part: number) => void,
): Promise<ExamRecord> => {
  const parsed = readShop(new URL('../../simulators/demo-shop.yaml', import.meta.url).pathname)
  if ('problems' in parsed) throw new Error(describeProblems(parsed.problems))
  const simulated = createSimulatedShop(demoPlant, { seed, start: from, scenario })
  return examine(parsed.shop, simulated, { from, days, step, recorded: true, judgeEvery, readyEvery, onProgress })
}

/** The number of the n-th shop of a seed. Seeds below 1000 are for development. */
export const shopNumber = (seed: number, n: number): number => 1000 * seed + n

/** A random shop by its number. @throws when its shop file does not parse */
export const livelyShop = (number: number, days: number) => {
  const plant = livelyPlant(randomPlant(number), number)
  const parsed = parseShop(shopFile(plant), `random shop ${number}`)
  if ('problems' in parsed) throw new Error(describeProblems(parsed.problems))
  const from = plant.start
  // only what breaks within the days looked at makes a shop an unhealthy one
  const faults = plant.faults.filter(fault => fault.from < days * 86_400)
  const twin = (heated?: Heated) => createSimulatedShop(plant, { seed: number, start: from, heated })
  return { shop: parsed.shop, simulated: twin(), twin, from, faults }
}

/**
 * Examines a random shop by its number, its sensors reporting at their own intervals.
 *
 * @throws when its shop file does not parse
 */
export const examineRandom = async (
  number: number,
  days: number,
  onProgress?: (part: number) => void,
): Promise<ExamRecord> => {
  const { shop, simulated, from, faults } = livelyShop(number, days)
  const record = await examine(shop, simulated, {
    ...{ from, days, step, recorded: false, judgeEvery, readyEvery },
    faults,
    onProgress,
  })
  return { ...record, shop: number }
}

/** The mornings of a random shop. @throws when its shop file does not parse */
export const examineRandomMornings = async (
  number: number,
  days: number,
  onProgress?: (part: number) => void,
): Promise<MorningsRecord> => {
  const { shop, simulated, twin, from, faults } = livelyShop(number, days)
  return examineMornings(shop, simulated, { from, days, faults, twin, onProgress })
}

/** Which sensors of a random shop are believed; none is broken but by plan. @throws when its shop file does not parse */
export const examineRandomSensors = async (
  number: number,
  days: number,
  onProgress?: (part: number) => void,
): Promise<SuspectsRecord> => {
  const { shop, simulated, from } = livelyShop(number, days)
  return examineSensors(shop, simulated, { from, days, onProgress })
}
