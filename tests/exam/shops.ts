import { describeProblems, readShop } from '../../server/shop/index.js'
import { parseShop } from '../../server/shop/parse.js'
import {
  createSimulatedShop,
  demoPlant,
  livelyPlant,
  type Otherwise,
  type RandomPlant,
  randomPlant,
  type ScenarioName,
  type SimulatedShop,
  shopFile,
} from '../../simulators/index.js'
import { examine } from './examine.js'
import type { Heated } from './heating.js'
import { examineMornings, type MorningsRecord } from './mornings.js'
import { examineParts, type PartsRecord } from './parts.js'
import type { ExamRecord } from './records.js'
import { examineSensors } from './sensors.js'
import {
  compareSources,
  learnedOf,
  live,
  nothing,
  ownWork,
  type Removed,
  removedFrom,
  type SourcesRecord,
} from './sources.js'
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

/** A random shop by its number. @param changed what is otherwise in it. @throws when its shop file does not parse */
export const livelyShop = (number: number, days: number, changed = (plant: RandomPlant): RandomPlant => plant) => {
  const plant = changed(livelyPlant(randomPlant(number), number))
  const parsed = parseShop(shopFile(plant), `random shop ${number}`)
  if ('problems' in parsed) throw new Error(describeProblems(parsed.problems))
  const from = plant.start
  // only what breaks within the days looked at makes a shop an unhealthy one
  const faults = plant.faults.filter(fault => fault.from < days * 86_400)
  const twin = (heated?: Heated, otherwise?: Otherwise) =>
    createSimulatedShop(plant, { seed: number, start: from, heated, otherwise })
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

/**
 * Twins of a shop that live without a cause from a moment on. The shop itself is to live first: without the outdoors, they and the
 * sun stay at what they were then on average; without the week, the heating keeps what it keeps by day and people are spread evenly.
 */
const twinsWithout = (twin: ReturnType<typeof livelyShop>['twin'], from: number) => {
  const sums = { count: 0, outdoors: 0, sun: 0, working: 0 }
  return (removed: Removed | null): SimulatedShop => {
    let simulated: SimulatedShop | null = null
    const isFrom = () => simulated !== null && simulated.time() >= from
    const isGone = (cause: string) => removed?.cause === cause && isFrom()
    const seen = (what: 'outdoors' | 'sun' | 'working', value: number) => {
      if (!removed && isFrom()) {
        sums[what] += value
        if (what === 'working') sums.count++
      }
      return value
    }
    simulated = twin(() => (isGone('week') ? true : null), {
      duty: machine => (isGone(ownWork(machine)) ? { spindle: 0, motion: 0 } : null),
      outdoors: ({ season, day, airMass }) =>
        isGone('outdoors') ? sums.outdoors / sums.count : seen('outdoors', season + day + airMass),
      sun: sun => (isGone('outdoors') ? sums.sun / sums.count : seen('sun', sun)),
      people: (working, time) => {
        if (isGone('week')) return sums.working / sums.count
        // one puff alone is forgotten in a day, and thermostats then switch as they did: it goes on, a warm one and as cold a one
        const since = isGone(nothing) ? (time - from) % 7_200_000 : Number.POSITIVE_INFINITY
        const puff = since < 600_000 ? 1 : since < 1_200_000 ? -1 : 0
        return seen('working', Number(working)) + puff
      },
    })
    return simulated
  }
}

/** A shop whose doors stand open for hours each day: in usual ones they do little. */
const withBusyDoors = (plant: RandomPlant): RandomPlant => ({
  ...plant,
  sources: plant.sources.map(source =>
    source.kind === 'door'
      ? { ...source, deliveries: { ...source.deliveries, number: [4, 9], minutes: [10, 40] } }
      : source,
  ),
})

/**
 * A random shop that has lived, with its twins; in every other one a second door is opened with the first, in every third doors are
 * busy.
 */
const livedShop = (number: number, days: number, onProgress?: (part: number) => void) => {
  const { shop, twin, from } = livelyShop(number, days, number % 3 === 0 ? withBusyDoors : undefined)
  const twins = twinsWithout(twin, removedFrom(from, days))
  return { shop, lived: live(shop, twins, { from, days, yoked: number % 2 === 0, onProgress }) }
}

/** Where the movement of a random shop's machines came from. */
export const examineRandomSources = async (
  number: number,
  days: number,
  onProgress?: (part: number) => void,
): Promise<SourcesRecord[]> => {
  const { shop, lived } = livedShop(number, days, onProgress)
  return compareSources(await learnedOf(shop, lived), number, lived)
}

/** Whether heat made parts of a random shop, whose sensors are healthy. @throws when its shop file does not parse */
export const examineRandomParts = async (
  number: number,
  days: number,
  onProgress?: (part: number) => void,
): Promise<PartsRecord> => {
  const { shop, simulated, from } = livelyShop(number, days)
  return examineParts(shop, simulated, number, { from, days, onProgress })
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
