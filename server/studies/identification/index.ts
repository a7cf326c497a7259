import { type Identification, identificationInUse } from '../../../core/settling/index.js'
import type { Machine, Node, Shop } from '../../../core/shop.js'
import { stands } from '../../history/index.js'
import type { Logger } from '../../log.js'
import type { Monitor } from '../../monitor/index.js'
import type { Store } from '../../store/store.js'
import { keptUpToDate, type UpToDate } from '../../up-to-date.js'
import type { BesideWorker } from '../../worker/index.js'
import { sensorsOfNode } from './node.js'

const day = 86_400_000
/** ms; after a start other work comes first, and what is due once a day is found in time */
export const learnedOnThread = { first: 20_000, every: 15 * 60_000 }

export interface NodeIdentification {
  node: Node
  /** what forecasts use; null: the configured time constant */
  inUse: Identification | null
  /** the last attempt, whatever came of it */
  newest: Identification | null
}

/** How each body of a machine settles, by what was identified so far. */
export const identificationsOf = async (
  shop: Shop,
  { facts }: Pick<Store, 'facts'>,
  machine: Machine,
  now: number,
): Promise<NodeIdentification[]> => {
  const all = (await facts.of('identification', { subject: machine.id, from: now - stands })).reverse()
  return machine.nodes
    .filter(node => node.kind === 'body')
    .map(node => {
      const own = all.filter(found => found.node === node.id && found.follows === node.follows)
      return { node, inUse: identificationInUse(own, sensorsOfNode(shop, machine, node)), newest: own[0] ?? null }
    })
}

/** Tells the monitor what was identified for a machine. */
export const useIdentifications = (
  monitor: Pick<Monitor, 'setSettling'>,
  machine: string,
  found: readonly NodeIdentification[],
): void => {
  for (const { node, inUse } of found)
    monitor.setSettling(
      machine,
      node.id,
      inUse && inUse.timeConstant !== null && inUse.uncertainty !== null
        ? { timeConstant: inUse.timeConstant, uncertainty: inUse.uncertainty, steadyExcess: inUse.steadyExcess }
        : null,
    )
}

/** The bodies whose newest identification is a day old or came from other sensors. */
export const dueBodies = async (
  shop: Shop,
  store: Pick<Store, 'facts'>,
  now: number,
): Promise<{ machine: Machine; node: Node }[]> => {
  const found: { machine: Machine; node: Node }[] = []
  for (const machine of shop.machines)
    for (const { node, newest } of await identificationsOf(shop, store, machine, now))
      if (!newest || now - newest.at >= day || newest.sensors !== sensorsOfNode(shop, machine, node))
        found.push({ machine, node })
  return found
}

/**
 * Keeps time constants up to date: at the start when older than a day or from other sensors, then daily. They are looked for
 * on a thread of their own; what was found is stored here, and told to the monitor.
 *
 * @param now   ms; the monitor's time
 * @param ready false while a history is filled in
 */
export const startIdentification = (
  shop: Shop,
  store: Pick<Store, 'facts'>,
  monitor: Pick<Monitor, 'setSettling'>,
  beside: Pick<BesideWorker, 'identify'>,
  now: () => number,
  ready: () => boolean,
  log: Pick<Logger, 'info' | 'error'>,
): UpToDate => {
  const identify = async () => {
    const moment = now()
    let count = 0
    await beside.identify(moment, async found => {
      await store.facts.record('identification', [found])
      count += 1
      const machine = shop.machines.find(m => m.id === found.machine)
      if (machine) useIdentifications(monitor, machine.id, await identificationsOf(shop, store, machine, moment))
    })
    if (count > 0) log.info(`time constants of ${count} nodes were looked for in their history`)
  }
  return keptUpToDate(learnedOnThread, ready, identify, error =>
    log.error({ err: error }, 'time constants could not be identified; trying again later'),
  )
}
