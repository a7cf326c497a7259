import type { Machine, Shop } from '../../core/shop.js'
import type { Forecast, MachineState } from '../../core/state.js'
import type { SimulatedShop } from '../../simulators/index.js'
import { quantile } from './quantile.js'

const HOUR = 3_600_000

/** h */
export const horizons = [1, 4, 12] as const
export const nodeKinds = ['air', 'coolant', 'screw', 'scale', 'spindle', 'casting', 'without a sensor'] as const
type NodeKind = (typeof nodeKinds)[number]

/** s; how often temperatures are remembered and forecasts are asked */
export const rememberEvery = 900
export const askEvery = 3600
/** ms; persistence takes its quantiles from changes in so long, and none before it has seen a day of them */
const remembered = 7 * 24 * HOUR
const leastChanges = 96
/** standard normal quantile of 95 %, for the 90 % band of a stated standard uncertainty */
const k90 = 1.6449
const outside = 0.1

/** Sums over the forecasts of one kind of node and one horizon. */
export interface ForecastSums {
  count: number
  /** K², of the forecast and of "it stays as it is" */
  squares: number
  persistenceSquares: number
  covered: number
  persistenceCovered: number
  /** K */
  width: number
  persistenceWidth: number
  /** K; interval score of the 90 % band (smaller is better): Gneiting and Raftery, J. Am. Stat. Assoc. 102, 359 (2007), eq. 43 */
  score: number
  persistenceScore: number
}
const none = (): ForecastSums => ({
  count: 0,
  squares: 0,
  persistenceSquares: 0,
  covered: 0,
  persistenceCovered: 0,
  width: 0,
  persistenceWidth: 0,
  score: 0,
  persistenceScore: 0,
})
export type ForecastsRecord = Record<NodeKind, ForecastSums[]>
const noForecasts = (): ForecastsRecord =>
  Object.fromEntries(nodeKinds.map(kind => [kind, horizons.map(none)])) as ForecastsRecord

/** Interval score of a central band of which the part `outside` is to lie outside; in the unit of the value. */
export const intervalScore = (low: number, high: number, value: number): number =>
  high - low + (2 / outside) * (Math.max(0, low - value) + Math.max(0, value - high))

interface Asked {
  due: number
  horizon: number
  kind: NodeKind
  machine: string
  node: string
  mean: number
  low: number
  high: number
  present: number
  persistence: [number, number]
}

/**
 * Compares forecasts of the nodes' temperatures with what came: what the node's own sensors told by then, and the truth
 * where a node has none. "It stays as it is" stands beside: its band are the quantiles of the node's changes over the same
 * time in the last seven days. Where that is not known yet, neither counts.
 */
export class NodeForecasts {
  readonly record: ForecastsRecord = noForecasts()
  private readonly kinds = new Map<string, NodeKind>()
  private readonly past = new Map<string, { at: number; value: number }[]>()
  private asked: Asked[] = []

  constructor(
    shop: Shop,
    private readonly simulated: SimulatedShop,
  ) {
    for (const machine of shop.machines)
      for (const { id } of machine.nodes) this.kinds.set(`${machine.id} ${id}`, kindOf(shop, simulated, machine, id))
  }

  /** Call it every `rememberEvery` s; `forecast` is asked when `askEvery` has passed. @returns nothing said where it throws */
  take(states: readonly MachineState[], now: number, ask: ((machine: string) => Forecast) | null): void {
    for (const state of states)
      for (const { node, temperature, standIn } of state.nodes) {
        const key = `${state.machine} ${node}`
        const sensed = this.kinds.get(key) !== 'without a sensor'
        const value = sensed ? (standIn ? null : temperature) : this.trueOf(state.machine, node)
        const past = this.past.get(key) ?? []
        this.past.set(key, past)
        if (value !== null) past.push({ at: now, value })
        while (past.length && past[0]!.at < now - remembered - 12 * HOUR) past.shift()
      }
    this.settle(now)
    if (!ask) return
    for (const state of states) {
      if (state.nodes.some(({ temperature }) => temperature === null)) continue
      let forecast: Forecast
      try {
        forecast = ask(state.machine)
      } catch {
        continue // a node is unknown: nothing is said, nothing counts
      }
      for (const horizon of horizons) this.note(state, forecast, now, horizon)
    }
  }

  private trueOf(machine: string, node: string): number | null {
    return this.simulated.truth().machines[machine]!.bodies[node] ?? null
  }

  private note(state: MachineState, forecast: Forecast, now: number, horizon: number): void {
    const due = now + horizon * HOUR
    const k = forecast.times.reduce(
      (best, time, i) => (Math.abs(time - due) < Math.abs(forecast.times[best]! - due) ? i : best),
      0,
    )
    for (const { node, temperature, standIn } of state.nodes) {
      const key = `${state.machine} ${node}`
      const kind = this.kinds.get(key)!
      const past = this.past.get(key)!
      const sensed = kind !== 'without a sensor'
      if (past.at(-1)?.at !== now || (sensed && standIn)) continue
      const changes = changesOver(past, now - remembered, horizon * HOUR)
      if (changes.length < leastChanges) continue
      const band = forecast.nodes.find(of => of.node === node)!
      const [mean, u] = [band.mean[k]!, band.standardUncertainty[k]!]
      const present = temperature!
      this.asked.push({
        ...{ due, horizon, kind, machine: state.machine, node, mean, present },
        low: mean - k90 * u,
        high: mean + k90 * u,
        persistence: [present + quantile(changes, outside / 2), present + quantile(changes, 1 - outside / 2)],
      })
    }
  }

  private settle(now: number): void {
    const due = this.asked.filter(asked => asked.due <= now)
    if (due.length === 0) return
    this.asked = this.asked.filter(asked => asked.due > now)
    for (const asked of due) {
      const came = this.past.get(`${asked.machine} ${asked.node}`)!.findLast(({ at }) => at === asked.due)
      if (!came) continue
      const sums = this.record[asked.kind][horizons.indexOf(asked.horizon as 1)]!
      const { value } = came
      const [low, high] = asked.persistence
      sums.count++
      sums.squares += (asked.mean - value) ** 2
      sums.persistenceSquares += (asked.present - value) ** 2
      if (asked.low <= value && value <= asked.high) sums.covered++
      if (low <= value && value <= high) sums.persistenceCovered++
      sums.width += asked.high - asked.low
      sums.persistenceWidth += high - low
      sums.score += intervalScore(asked.low, asked.high, value)
      sums.persistenceScore += intervalScore(low, high, value)
    }
  }
}

/** Changes over a time (ms) whose later moment lies at or after `from`; both moments must be known. */
const changesOver = (past: readonly { at: number; value: number }[], from: number, over: number): number[] => {
  const changes: number[] = []
  let before = 0
  for (const { at, value } of past) {
    while (past[before]!.at < at - over) before++
    if (past[before]!.at === at - over && at - over >= from) changes.push(value - past[before]!.value)
  }
  return changes
}

const kindOf = (shop: Shop, simulated: SimulatedShop, machine: Machine, id: string): NodeKind => {
  const node = machine.nodes.find(n => n.id === id)!
  if (node.kind !== 'body') return node.kind
  const sensed = shop.sensors.some(({ at }) => at.kind === 'node' && at.machine === machine.id && at.node === id)
  if (!sensed) return 'without a sensor'
  const measuring = machine.axes.find(axis => id in axis.measuring.nodes)?.measuring
  if (measuring) return measuring.kind
  return simulated.plant.machines.find(m => m.id === machine.id)!.spindle.body === id ? 'spindle' : 'casting'
}

/** Several shops' sums as one. */
export const allForecasts = (records: readonly ForecastsRecord[]): ForecastsRecord => {
  const all = noForecasts()
  for (const record of records)
    for (const kind of nodeKinds)
      record[kind].forEach((sums, i) => {
        for (const key of Object.keys(sums) as (keyof ForecastSums)[]) all[kind][i]![key] += sums[key]
      })
  return all
}

/** All kinds of nodes together, by horizon. */
export const allKinds = (record: ForecastsRecord): ForecastSums[] =>
  horizons.map((_, i) => {
    const all = none()
    for (const kind of nodeKinds)
      for (const key of Object.keys(all) as (keyof ForecastSums)[]) all[key] += record[kind][i]![key]
    return all
  })
