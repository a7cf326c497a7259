import {
  comparingSurroundings,
  type Identification,
  type Identified,
  identifying,
  type Refusal,
} from '../../../core/settling/index.js'
import { isThermometer, type Machine, type Node, type Sensor, type Shop } from '../../../core/shop.js'
import { doubtedStretches, sensorsAt } from '../../history/index.js'
import type { Store } from '../../store/store.js'
import { fingerprint, fortnight, meanOf, readingMeans, type SensorMeans, timesOf } from './means.js'

/** log-likelihood; a smaller advantage of another air says nothing */
const decisive = 30
/** natural logarithm; how far time constants against two airs may lie apart before neither is believed */
const apart = 0.25
/** K; noise and resolution of a usual sensor's five-minute mean, as a part of its calibration's uncertainty, and least */
const noisePart = 0.4
const leastNoise = 0.02

/** sensors in the air of the shop that are compared with; each one's fortnight is held in memory */
const mostShopAir = 12

interface Candidate {
  name: string
  sensors: readonly Sensor[]
}

/** What a body could follow: what it is configured to, its machine's other air and coolant, the shop's air, the sources. */
const candidatesFor = (shop: Shop, machine: Machine, follows: string): Candidate[] => {
  const nodes = machine.nodes
    .filter(node => node.kind !== 'body')
    .sort((a, b) => Number(b.id === follows) - Number(a.id === follows))
    .map(node => ({ name: node.name, sensors: sensorsAt(shop, machine, node.id) }))
  let shopAir = 0
  const around = shop.sensors.filter(({ unit, at }) => {
    if (!isThermometer({ unit })) return false
    if (at.kind === 'shop air') return ++shopAir <= mostShopAir
    return at.kind === 'source' && machine.exposedTo.includes(at.source)
  })
  return [...nodes, ...around.map(sensor => ({ name: sensor.name, sensors: [sensor] }))].filter(
    ({ sensors }, i) => i === 0 || sensors.length > 0,
  )
}

/** The sensors of a node and of what it follows, as text; see `identificationInUse`. */
export const sensorsOfNode = (shop: Shop, machine: Machine, node: Node): string =>
  fingerprint([...sensorsAt(shop, machine, node.id), ...sensorsAt(shop, machine, node.follows ?? '')])

/**
 * Identifies the time constant of one body from what is stored, in steps of some milliseconds.
 *
 * @param now  ms
 * @param read what was read for other nodes at this same moment, by sensor; added to
 */
export async function* identifyingNode(
  shop: Shop,
  store: Pick<Store, 'series' | 'facts'>,
  machine: Machine,
  node: Node,
  now: number,
  read: Map<string, SensorMeans> = new Map(),
): AsyncGenerator<void, Omit<Identification, 'id'>> {
  const span = fortnight(now)
  const times = timesOf(span)
  const doubted = doubtedStretches(await store.facts.newest('trust', span.from))
  const means = async function* (sensors: readonly Sensor[]): AsyncGenerator<void, SensorMeans> {
    const all: SensorMeans[] = []
    for (const sensor of sensors) {
      const own = read.get(sensor.id) ?? (yield* readingMeans(store, sensor, span, doubted.get(sensor.id)))
      read.set(sensor.id, own)
      all.push(own)
    }
    return {
      values: all.length ? meanOf(all.map(({ values }) => values)) : new Float64Array(times.length).fill(Number.NaN),
      every: Math.min(...all.map(({ every }) => every)),
    }
  }
  const own = sensorsAt(shop, machine, node.id)
  const { values, every } = yield* means(own)
  const candidates = candidatesFor(shop, machine, node.follows ?? '')
  const around: SensorMeans[] = []
  for (const { sensors } of candidates) around.push(yield* means(sensors))
  const airs = around.map(of => of.values)

  const start = node.timeConstant ?? 3600
  const noiseOf = (sensors: readonly Sensor[]) =>
    Math.max(leastNoise, ...sensors.map(({ uncertainty }) => noisePart * uncertainty))
  const noise = noiseOf([...own, ...(candidates[0]?.sensors ?? [])])
  const identifyAgainst = (i: number) =>
    identifying(times, values, airs[i]!, { start, noise, readEvery: Math.max(every, around[i]!.every) })
  const found = yield* identifyAgainst(0)
  const common = {
    machine: machine.id,
    node: node.id,
    at: now,
    ...span,
    follows: node.follows ?? '',
    sensors: sensorsOfNode(shop, machine, node),
    bestAir: candidates[0]?.name ?? '',
    advantage: 0,
  }
  if (found.timeConstant === null || found.tooLittle) return { ...common, ...found, accepted: false }

  // what was silent most of the time cannot be compared
  const known = airs.map(air => air.reduce((count, value) => count + (Number.isNaN(value) ? 0 : 1), 0))
  const able = candidates.flatMap((_, i) => (i === 0 || known[i]! > 0.9 * known[0]! ? [i] : []))
  const likelihoods = yield* comparingSurroundings(
    times,
    values,
    able.map(i => airs[i]!),
    found.timeConstant,
    Math.max(every, ...able.map(i => around[i]!.every)),
  )
  const best = likelihoods.reduce((b, value, i) => (value > likelihoods[b]! ? i : b), 0)
  const advantage = likelihoods[best]! - likelihoods[0]!
  let { refusal }: { refusal: Refusal | null } = found
  let tooLittle: boolean = found.tooLittle
  if (advantage > decisive) {
    const other = yield* identifyAgainst(able[best]!)
    refusal ??= disagreement(found, other, candidates[0]!.name, candidates[able[best]!]!.name)
  }
  const prior = node.timeConstantUncertainty
  if (!refusal && prior !== undefined && found.uncertainty! >= prior) {
    refusal = { kind: 'configured is as sure', configured: prior, found: found.uncertainty! }
    tooLittle = true
  }
  const decided = advantage > decisive
  return {
    ...common,
    ...found,
    refusal,
    tooLittle,
    bestAir: decided ? candidates[able[best]!]!.name : common.bestAir,
    advantage: decided ? advantage : 0,
    accepted: refusal === null,
  }
}

const disagreement = (found: Identified, other: Identified, follows: string, better: string): Refusal | null => {
  const [timeConstant, otherwise] = [found.timeConstant!, other.timeConstant]
  if (otherwise === null || Math.abs(Math.log(otherwise / timeConstant)) <= apart) return null
  return { kind: 'follows another', follows, better, timeConstant, otherwise }
}
