import type { SimulatedShop } from '../../simulators/index.js'

/** A kind of work, only as far as the true thermal error needs it. SI. */
interface TestWork {
  length: number
  material: string
  tolerance: number
  /** s */
  horizons: number[]
}

/** the demo's closest work: 120 mm of aluminium within 22 µm, in 45 minutes */
export const closeBores: TestWork = {
  length: 0.12,
  material: 'aluminium 6061',
  tolerance: 22e-6,
  horizons: [900, 1800, 2700],
}

/** value at `s` on the straight lines between given places */
const between = (position: number[], value: number[], s: number): number => {
  const after = Math.max(
    1,
    Math.min(
      position.length - 1,
      position.findIndex(place => place >= s),
    ),
  )
  const [x0, x1, y0, y1] = [position[after - 1]!, position[after]!, value[after - 1]!, value[after]!]
  return y0 + ((y1 - y0) * (s - x0)) / (x1 - x0)
}

/**
 * The true thermal error of work begun now: the worst over the axes of true size error of the feature plus true largest
 * drift at the work, as part of the tolerance. No uncertainty: the simulator knows.
 */
export const trueShare = (shop: SimulatedShop, work: TestWork): Record<string, number> => {
  const { machines } = shop.truth()
  const drifts = shop.heldDrift(work.horizons, 'now')
  return Object.fromEntries(
    shop.plant.machines.map(({ id, axes }) => {
      const { axes: growth, partTemperature, partAlpha } = machines[id]!
      const errors = axes.map(({ id: axis, workAt }) => {
        const { position, value } = growth[axis]!.displacement
        const along =
          between(position, value, workAt + work.length / 2) - between(position, value, workAt - work.length / 2)
        const size = along - partAlpha[work.material]! * work.length * (partTemperature - 20)
        return Math.abs(size) + Math.max(...drifts[id]![axis]!.map(Math.abs))
      })
      return [id, Math.max(...errors) / work.tolerance]
    }),
  )
}
