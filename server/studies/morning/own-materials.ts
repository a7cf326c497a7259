import type { Material, Shop } from '../../../core/shop.js'

/** The materials that a shop's machines and work classes are described with: among them the shop's own ones. */
export const ownMaterials = ({ machines, workClasses }: Pick<Shop, 'machines' | 'workClasses'>): Material[] => [
  ...workClasses.map(({ material }) => material),
  ...machines.flatMap(({ axes, structure }) => [
    ...axes.map(({ measuring }) => measuring.material),
    ...structure.map(({ material }) => material),
  ]),
]
