import type { Random } from '../random.js'
import { around, oneOf } from './draws.js'
import { expansionText, type ShopText } from './shop-text.js'

/** What the shop's people write down about a material: 1/K, and its relative standard uncertainty. */
interface Stated {
  name: string
  alpha: number
  uncertainty: number
}

export interface Materials {
  screw: Stated
  iron: Stated
  glass: Stated
  scaleSteel: Stated
  parts: Stated[]
  text: ShopText['materials']
}

/** usual values of handbooks (from memory), 1/K, with uncertainties as a careful shop would state them */
const parts: [name: string, alpha: number, uncertainty: number][] = [
  ['part steel', 11.5e-6, 0.04],
  ['part aluminium', 23.5e-6, 0.03],
  ['part stainless', 16.5e-6, 0.04],
  ['part titanium', 8.6e-6, 0.03],
  ['part iron', 11e-6, 0.05],
]

/** The materials of a shop, as its file states them. */
export const randomMaterials = (random: Random): Materials => {
  const uncertainty = oneOf(random, [0.02, 0.03, 0.04])
  const first = Math.floor(random.uniform() * parts.length)
  const chosen = [parts[first]!, parts[(first + 1 + Math.floor(random.uniform() * (parts.length - 1))) % parts.length]!]
  const materials = {
    screw: { name: 'screw steel', alpha: oneOf(random, [11.5e-6, 11.7e-6]), uncertainty },
    iron: { name: 'casting', alpha: oneOf(random, [10.8e-6, 11.2e-6]), uncertainty: 0.05 },
    glass: { name: 'scale glass', alpha: oneOf(random, [8e-6, 8.5e-6]), uncertainty: 0.03 },
    scaleSteel: { name: 'scale steel', alpha: 11.2e-6, uncertainty: 0.03 },
    parts: chosen.map(([name, alpha, u]): Stated => ({ name, alpha, uncertainty: u })),
  }
  const all = [materials.screw, materials.iron, materials.glass, materials.scaleSteel, ...materials.parts]
  return {
    ...materials,
    text: Object.fromEntries(
      all.map(each => [each.name, { expansion: expansionText(each.alpha, each.uncertainty), source: 'invented' }]),
    ),
  }
}

/** The true coefficient of one piece of it, 1/K. */
export const trueAlpha = (random: Random, stated: Stated): number => around(random, stated.alpha, stated.uncertainty)
