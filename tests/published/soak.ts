import type { Response } from '../../core/soak/body.js'
import { lumpedBelow, responseOf, type Shape } from '../../core/soak/index.js'
import { ballModes, cylinderModes, slabModes } from '../../core/soak/modes.js'
import { leftAt } from '../core/soak/left-at.js'
import type { Check } from './check.js'

const body = (shape: Shape, density: number, specificHeat: number, conductivity: number, film: number): Response =>
  responseOf(
    shape,
    { density, specificHeat, conductivity, heatUncertainty: 0, conductivityUncertainty: 0, source: '' },
    { free: film, contact: film },
  )

/** s; until so much of a step is left */
const until = ({ left }: Response, part: number): number => {
  let [low, high] = [0, 1]
  while (left(high) > part) high *= 2
  for (let i = 0; i < 60; i++) {
    const middle = (low + high) / 2
    if (left(middle) > part) low = middle
    else high = middle
  }
  return high
}

const junction = (): Check[] => {
  const diameter = 7.0588e-4
  const bead = body({ kind: 'ball', diameter }, 8500, 400, 20, 400)
  const source = 'Incropera & DeWitt, example 5.1, from memory'
  return [
    {
      item: 'thermocouple bead of 0.706 mm: 25 to 199 °C in 200 °C gas',
      source: `${source} (5.2 s); allowed: its digits`,
      unit: 's',
      published: 5.2,
      computed: until(bead, 1 / 175),
      allowed: 0.05,
    },
    {
      item: 'the same, to full precision',
      source: 'τ·ln 175, arithmetic',
      unit: 's',
      published: 5.165,
      computed: until(bead, 1 / 175),
      allowed: 0.0005,
    },
    {
      // the book takes a third of the radius; the careful choice here is the radius itself
      item: 'its Biot number, by a third of the radius',
      source,
      unit: '1',
      published: 2.35e-3,
      computed: bead.biot / 3,
      allowed: 0.005e-3,
    },
  ]
}

const cengel = (): Check => ({
  item: 'thermocouple bead of 1 mm: 99 % of a step',
  source: 'Çengel, example 4-1, from memory (about 10 s); 9.94 s by τ·ln 100, arithmetic',
  unit: 's',
  published: 9.94,
  computed: until(body({ kind: 'ball', diameter: 0.001 }, 8500, 320, 35, 210), 0.01),
  allowed: 0.005,
})

const pipelineWall = (): Check[] => {
  const [thickness, k, volumeHeat, film] = [0.04, 63.9, 7832 * 434, 500]
  const modes = slabModes(0, (film * thickness) / k)
  const fourier = ((k / volumeHeat) * 480) / thickness ** 2
  const at = (place: number) => 60 - 80 * leftAt(modes, fourier, place)
  const source = 'Incropera & DeWitt, example 5.4'
  const row = (item: string, unit: string, published: number, computed: number, allowed: number, whence: string) => ({
    item: `plane wall of 40 mm, insulated at the back: ${item}`,
    source: whence,
    unit,
    published,
    computed,
    allowed,
  })
  const book = `${source}, from memory; allowed: the book’s tables have three digits (0.5 % of the step)`
  const exact = `${source}, computed anew from its inputs by one term; allowed: its digits, and the terms left out`
  const [first] = modes
  return [
    row('back after 480 s', '°C', 42.9, at(0), 0.4, book),
    row('surface after 480 s', '°C', 45.2, at(1), 0.4, book),
    row('back after 480 s', '°C', 43.016, at(0), 0.0006, exact),
    row('surface after 480 s', '°C', 45.362, at(1), 0.0006, exact),
    row('first eigenvalue', '1', 0.53189, first!.zeta, 5e-6, exact),
    row('first coefficient', '1', 1.04679, first!.at(0), 5e-6, exact),
  ]
}

/** A wall so thick and so well chilled that it is half-infinite with a given surface. */
const burial = (): Check => {
  const [thickness, volumeHeat, k] = [3, 2050 * 1840, 0.52]
  const fourier = ((k / volumeHeat) * 60 * 86_400) / thickness ** 2
  const modes = slabModes(0, 1e9)
  let [low, high] = [0, 1]
  for (let i = 0; i < 60; i++) {
    const depth = (low + high) / 2
    if (-15 + 35 * leftAt(modes, fourier, 1 - depth / thickness) < 0) low = depth
    else high = depth
  }
  return {
    item: 'half-infinite body: frozen in 60 days to',
    source: 'Incropera & DeWitt, example 5.6, from memory (0.68 m); 0.677 m by the error function, arithmetic',
    unit: 'm',
    published: 0.677,
    computed: low,
    allowed: 0.0005,
  }
}

const tabled = (): Check[] => [
  {
    item: 'long cylinder, Bi 1: first eigenvalue',
    source: 'Incropera & DeWitt, table 5.1, from memory (1.2558); allowed: its digits',
    unit: '1',
    published: 1.2558,
    computed: cylinderModes(1)[0]!.zeta,
    allowed: 5e-5,
  },
  {
    item: 'ball, Bi 1: first eigenvalue, π/2',
    source: 'Incropera & DeWitt, table 5.1, from memory (1.5708); exactly π/2',
    unit: '1',
    published: 1.5708,
    computed: ballModes(1)[0]!.zeta,
    allowed: 5e-5,
  },
  {
    item: 'plane wall, Bi 1, by its half thickness: first eigenvalue',
    source: 'Incropera & DeWitt, table 5.1, from memory (0.8603); allowed: its digits',
    unit: '1',
    published: 0.8603,
    // two halves back to back: by the whole thickness twice the Biot number and twice the eigenvalue
    computed: slabModes(2, 2)[0]!.zeta / 2,
    allowed: 5e-5,
  },
  {
    item: 'a body counts as equally warm all through below a Biot number of',
    source: 'Incropera & DeWitt, 5.2, from memory',
    unit: '1',
    published: 0.1,
    computed: lumpedBelow,
    allowed: 0,
  },
]

export const soakChecks = (): Check[] => [...junction(), cengel(), ...pipelineWall(), burial(), ...tabled()]
