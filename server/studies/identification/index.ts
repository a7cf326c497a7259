import { type Identification, identificationInUse } from '../../../core/settling/index.js'
import type { Machine, Node, Shop } from '../../../core/shop.js'
import type { Logger } from '../../log.js'
import type { Monitor } from '../../monitor/index.js'
import type { Store } from '../../store/store.js'
import { identifyingNode, sensorsOfNode } from './node.js'

const day = 86_400_000
/** ms; how long an accepted identification may stand while later histories tell too little */
export const stands = 90 * day
/** ms of work at once, and of rest in between: the service goes on with everything else */
const slice = 15
const rest = 25
/** ms; after the start, and then how often it is looked whether one is due */
const firstLook = 20_000
const look = 15 * 60_000

type Facts = Pick<Store, 'identifications' | 'addIdentification' | 'series'>

export interface NodeIdentification {
  node: Node
  /** what forecasts use; null: the configured time constant */
  inUse: Identification | null
  /** the last attempt, whatever came of it */
  newest: Identification | null
}

/** How each body of a machine settles, by what was identified so far. */
export const identificationsOf = (
  shop: Shop,
  store: Pick<Store, 'identifications'>,
  machine: Machine,
  now: number,
): NodeIdentification[] => {
  const all = store.identifications(machine.id, now - stands)
  return machine.nodes
    .filter(node => node.kind === 'body')
    .map(node => {
      const own = all.filter(found => found.node === node.id && found.follows === node.follows)
      return { node, inUse: identificationInUse(own, sensorsOfNode(shop, machine, node)), newest: own[0] ?? null }
    })
}

/** Tells the monitor what was identified for a machine. */
export const useIdentifications = (
  shop: Shop,
  store: Pick<Store, 'identifications'>,
  monitor: Pick<Monitor, 'setSettling'>,
  machine: Machine,
  now: number,
): void => {
  for (const { node, inUse } of identificationsOf(shop, store, machine, now))
    monitor.setSettling(
      machine.id,
      node.id,
      inUse && inUse.timeConstant !== null && inUse.uncertainty !== null
        ? { timeConstant: inUse.timeConstant, uncertainty: inUse.uncertainty, steadyExcess: inUse.steadyExcess }
        : null,
    )
}

/** The bodies whose newest identification is a day old or came from other sensors. */
const due = (shop: Shop, store: Facts, now: number): { machine: Machine; node: Node }[] =>
  shop.machines.flatMap(machine =>
    identificationsOf(shop, store, machine, now).flatMap(({ node, newest }) =>
      newest && now - newest.at < day && newest.sensors === sensorsOfNode(shop, machine, node)
        ? []
        : [{ machine, node }],
    ),
  )

/**
 * Identifies whatever is due, in steps of some milliseconds. An examination, where time is not the clock's, runs it to its
 * end once a day; the service uses `startIdentification`.
 *
 * @param now ms
 */
export function* identifyingDue(
  shop: Shop,
  store: Facts,
  monitor: Pick<Monitor, 'setSettling'>,
  now: number,
): Generator<void, number> {
  const waiting = due(shop, store, now)
  const read = new Map<string, Float64Array>()
  for (const { machine, node } of waiting) {
    store.addIdentification(yield* identifyingNode(shop, store, machine, node, now, read))
    useIdentifications(shop, store, monitor, machine, now)
    yield
  }
  return waiting.length
}

export interface IdentificationService {
  /** looks now, and from now on every so often, for what is due */
  look(): void
  stop(): void
}

/**
 * Keeps time constants up to date: at the start when older than a day or from other sensors, then daily.
 *
 * @param now   ms; the monitor's time
 * @param ready false while a history is filled in
 */
export const startIdentification = (
  shop: Shop,
  store: Facts,
  monitor: Pick<Monitor, 'setSettling'>,
  now: () => number,
  ready: () => boolean,
  log: Pick<Logger, 'info' | 'error'>,
): IdentificationService => {
  let running: Generator<void, number> | null = null
  let timer: NodeJS.Timeout | undefined
  let stopped = false

  const again = (after: number, what: () => void) => {
    clearTimeout(timer)
    timer = setTimeout(what, after)
    timer.unref()
  }
  const begin = () => {
    if (stopped || running) return
    if (!ready()) {
      again(look, begin)
      return
    }
    running = identifyingDue(shop, store, monitor, now())
    work()
  }
  const work = () => {
    if (stopped || !running) return
    try {
      const end = performance.now() + slice
      while (performance.now() < end) {
        const step = running.next()
        if (!step.done) continue
        running = null
        if (step.value > 0) log.info(`time constants of ${step.value} nodes were looked for in their history`)
        again(look, begin)
        return
      }
      again(rest, work)
    } catch (error) {
      running = null
      log.error({ err: error }, 'time constants could not be identified; trying again later')
      again(look, begin)
    }
  }
  again(firstLook, begin)
  return {
    look: () => begin(),
    stop() {
      stopped = true
      clearTimeout(timer)
    },
  }
}
