import { growthOfAxes, type LoopFactors, thermalLoop } from '../core/growth/index.js'
import type { Machine, Shop } from '../core/shop.js'
import type { AppParts, GrowthOf } from './http/parts.js'
import { factorsInUse } from './recovery.js'
import type { Store } from './store/store.js'

export interface GrowthLoops {
  growthOf: GrowthOf
  setFactors: AppParts['setFactors']
}

/** Growth by the machines' loops as they are now, with the factors that were accepted last. */
export const growthLoops = (shop: Shop, store: Pick<Store, 'factorChanges'>): GrowthLoops => {
  const loopOf = (machine: Machine, factors: LoopFactors) => thermalLoop(machine, shop.referenceTemperature, factors)
  const loops = new Map(shop.machines.map(m => [m.id, loopOf(m, factorsInUse(store, m.id))]))
  return {
    growthOf: (machine, temperatures) => {
      const loop = loops.get(machine.id)
      return loop ? growthOfAxes(loop, temperatures) : []
    },
    setFactors: (id, factors) => {
      const machine = shop.machines.find(m => m.id === id)
      if (machine) loops.set(id, loopOf(machine, factors))
    },
  }
}
