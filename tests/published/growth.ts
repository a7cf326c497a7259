import { barGrowth } from '../../core/growth/bar.js'
import { columnDeflection } from '../../core/growth/column.js'
import { thermalLoop } from '../../core/growth/index.js'
import { thermalErrorIndex } from '../../core/judge/thermal-error-index.js'
import { findMaterial } from '../../core/materials.js'
import type { Material } from '../../core/shop.js'
import { growthOfAxes } from '../core/machines.js'
import { demoShop } from '../demo-shop.js'
import type { Check } from './check.js'

const inch = 0.0254
/** K per °F of difference */
const fahrenheit = 5 / 9
const material = (name: string): Material => {
  const found = findMaterial(name)
  if ('problem' in found) throw new Error(found.problem)
  return found.value
}
/** m; the largest growth of any axis, anywhere along its travel, with all nodes at a temperature in °C */
const largestGrowthAt = (temperature: number): number => {
  const { machines, referenceTemperature } = demoShop()
  const growths = machines.flatMap(machine => {
    const temperatures = Object.fromEntries(machine.nodes.map(node => [node.id, temperature]))
    return growthOfAxes(thermalLoop(machine, referenceTemperature), temperatures)
  })
  return Math.max(...growths.flatMap(({ atZero, atWork, atTravel }) => [atZero, atWork, atTravel].map(Math.abs)))
}
const practice = 'common practice, no source'

export const growthChecks = (): Check[] => [
  {
    item: 'growth of the demo shop’s machines, everything at 20 °C',
    source: 'ISO 1:2022: dimensions hold at 20 °C',
    unit: 'µm',
    published: 0,
    computed: 1e6 * largestGrowthAt(20),
    allowed: 0,
  },
  {
    item: 'ball screw 1 m, 3 K warmer, 12e-6/K',
    source: 'ΔL = α·L·ΔT, a screw maker’s worked figure, second-hand; arithmetic',
    unit: 'µm',
    published: 36,
    computed: barGrowth(1, 12e-6, 3) * 1e6,
    allowed: 1e-6,
  },
  {
    item: 'column 1 m high, 0.2 m deep, 1 K front to rear: deflection',
    source: 'Roark, beams with a through-thickness temperature difference; value by arithmetic',
    unit: 'µm',
    published: 29.25,
    computed: columnDeflection(11.7e-6, 1, 1, 0.2) * 1e6,
    allowed: 1e-6,
  },
  {
    item: 'steel, growth of an inch per °F',
    source: practice,
    unit: 'µin',
    published: 6.5,
    computed: (barGrowth(inch, material('steel').alpha, fahrenheit) / inch) * 1e6,
    allowed: 0.3,
  },
  {
    item: 'grey iron, growth of an inch per °F',
    source: practice,
    unit: 'µin',
    published: 6.5,
    computed: (barGrowth(inch, material('grey iron').alpha, fahrenheit) / inch) * 1e6,
    allowed: 0.3,
  },
  {
    item: 'ball screw 20 in, 15 °F warmer',
    source: practice,
    unit: 'in',
    published: 0.002,
    computed: barGrowth(20 * inch, material('steel').alpha, 15 * fahrenheit) / inch,
    allowed: 0.0001,
  },
]

/** The trade's fact that 2 °F can put a small close-tolerance part out: tolerance eaten, in percent. */
export const smallChangeIndex = (): number =>
  thermalErrorIndex(barGrowth(20 * inch, material('steel').alpha, 2 * fahrenheit), 0, 0.0002 * inch)
