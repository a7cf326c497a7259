import { assemble, meanOver, stretchOver } from '../../simulators/assembly.js'
import { type NetworkNode, ThermalNetwork } from '../../simulators/network.js'
import type { MachinePlant } from '../../simulators/plant.js'
import type { Check } from './check.js'

/** A wall of `cells` slices, 1 m² large, its first slice in touch with the air. */
const wall = (cells: number, thickness: number, k: number, volumeHeat: number, film: number, start: number) => {
  const width = thickness / cells
  const nodes = Array.from(
    { length: cells },
    (_, i): NetworkNode => ({
      parent: i - 1,
      link: k / width,
      capacity: volumeHeat * width,
      toAir: i === 0 ? 1 / (1 / film + width / 2 / k) : 0,
      toCoolant: 0,
    }),
  )
  return { network: new ThermalNetwork(nodes, start), width }
}

const lump = (): Check => {
  const diameter = 7.0588e-4
  const capacity = (8500 * 400 * Math.PI * diameter ** 3) / 6
  const toAir = 400 * Math.PI * diameter ** 2
  const network = new ThermalNetwork([{ parent: -1, link: 0, capacity, toAir, toCoolant: 0 }], 25)
  let time = 0
  while (network.temperature[0]! < 199) {
    network.step(0.001, 200, 0)
    time += 0.001
  }
  return {
    item: 'a lump: 25 to 199 °C in 200 °C gas',
    source: 'Incropera & DeWitt, example 5.1, from memory; exactly 5.165 s. Allowed: a step, and the digits',
    unit: 's',
    published: 5.165,
    computed: time,
    allowed: 0.0015,
  }
}

/**
 * Roots of ζ·tan ζ = Bi, smallest first: eigenvalues of a plane wall with a film on one side (Incropera & DeWitt, 5.5).
 */
const eigenvalues = (biot: number, count: number): number[] =>
  Array.from({ length: count }, (_, n) => {
    let [low, high] = [n * Math.PI, (n + 0.5) * Math.PI]
    for (let i = 0; i < 60; i++) {
      const middle = (low + high) / 2
      if (middle * Math.sin(middle) < biot * Math.cos(middle) === (n % 2 === 0)) low = middle
      else high = middle
    }
    return (low + high) / 2
  })

/**
 * Series solution of a plane wall insulated at the back: the part of the step that is still to come.
 *
 * @param fourier α·t/L²
 * @param place 0 at the back, 1 at the surface; 'mean' for the mean over the wall
 */
const wallSeries = (biot: number, fourier: number, place: number | 'mean'): number =>
  eigenvalues(biot, 40).reduce((sum, zeta) => {
    const c = (4 * Math.sin(zeta)) / (2 * zeta + Math.sin(2 * zeta))
    const shape = place === 'mean' ? Math.sin(zeta) / zeta : Math.cos(zeta * place)
    return sum + c * shape * Math.exp(-(zeta ** 2) * fourier)
  }, 0)

/** How much the slowest part of a step is off when the wall is cut into cells: its eigenvalue by ζ⁴/(12·cells²). */
const cutting = (biot: number, fourier: number, cells: number): number => {
  const [zeta] = eigenvalues(biot, 1)
  return (zeta! ** 4 * fourier * Math.exp(-(zeta! ** 2) * fourier)) / (12 * cells ** 2)
}

const planeWall = (): Check[] => {
  const cells = 100
  const [thickness, k, volumeHeat, film] = [0.04, 63.9, 7832 * 434, 500]
  const { network, width } = wall(cells, thickness, k, volumeHeat, film, -20)
  for (let n = 0; n < 480; n++) network.step(1, 60, 0)
  const outer = network.temperature[0]!
  const half = width / 2 / k
  const surface = outer + (60 - outer) * (half / (1 / film + half))
  const biot = (film * thickness) / k
  const fourier = ((k / volumeHeat) * 480) / thickness ** 2
  const source = 'Incropera & DeWitt, example 5.4, from memory'
  const book = `${source}; allowed: the book’s tables have three digits (0.5 % of the step)`
  const series = 'the same, by its series; allowed: cutting into cells, twice'
  const allowed = 2 * 80 * cutting(biot, fourier, cells)
  const back = 60 - 80 * wallSeries(biot, fourier, 0.5 / cells)
  const at = 60 - 80 * wallSeries(biot, fourier, 1)
  return [
    {
      item: 'a plane wall: inside',
      source: book,
      unit: '°C',
      published: 42.9,
      computed: network.temperature[cells - 1]!,
      allowed: 0.4,
    },
    { item: 'a plane wall: surface', source: book, unit: '°C', published: 45.2, computed: surface, allowed: 0.4 },
    {
      item: 'a plane wall: inside',
      source: series,
      unit: '°C',
      published: back,
      computed: network.temperature[cells - 1]!,
      allowed,
    },
    { item: 'a plane wall: surface', source: series, unit: '°C', published: at, computed: surface, allowed },
  ]
}

const halfInfinite = (): Check => {
  const { network, width } = wall(400, 8, 0.52, 2050 * 1840, 1e9, 20)
  for (let n = 0; n < 60 * 48; n++) network.step(1800, -15, 0)
  const warm = network.temperature.findIndex(temperature => temperature > 0)
  const [cold, above] = [network.temperature[warm - 1]!, network.temperature[warm]!]
  return {
    item: 'a half-infinite body: frozen in 60 days to',
    source: 'Incropera & DeWitt, example 5.6, from memory; allowed: its digits',
    unit: 'm',
    published: 0.68,
    computed: (warm - 0.5 + cold / (cold - above)) * width,
    allowed: 0.005,
  }
}

/** A rod on an end that is kept hot, in air: steady fin with an insulated tip. */
const fin = (): Check[] => {
  const cells = 100
  const [length, diameter, k, film] = [0.6, 0.03, 45, 12]
  const width = length / cells
  const section = (Math.PI / 4) * diameter ** 2
  const nodes: NetworkNode[] = [{ parent: -1, link: 0, capacity: 1e12, toAir: 0, toCoolant: 0 }]
  for (let i = 0; i < cells; i++)
    nodes.push({
      parent: i,
      link: ((i === 0 ? 2 : 1) * k * section) / width,
      capacity: 3.69e6 * section * width,
      toAir: film * Math.PI * diameter * width,
      toCoolant: 0,
    })
  const network = new ThermalNetwork(nodes, 20)
  network.temperature[0] = 30
  for (let n = 0; n < 300; n++) network.step(300, 20, 0)
  const m = Math.sqrt((4 * film) / (k * diameter))
  return [1, 25, 50, 75, 100].map(i => {
    const x = (i - 0.5) * width
    return {
      item: `a rod on a hot end: 10 K there, at ${Math.round(x * 1000)} mm`,
      source:
        'fin with insulated tip, cosh m(L−x)/cosh mL (Incropera, from memory); allowed: the first half cell’s film, (m·cell)²/8',
      unit: '°C',
      published: 20 + (10 * Math.cosh(m * (length - x))) / Math.cosh(m * length),
      computed: network.temperature[i]!,
      allowed: (10 * (m * width) ** 2) / 8,
    }
  })
}

/** A machine that is nothing but a screw on a bearing so heavy that it keeps its temperature. */
const bareScrew = (diameter: number, length: number): MachinePlant => ({
  id: 'bare screw',
  zone: '',
  influences: [],
  mixing: 1,
  eddies: { spread: 0, memory: 1 },
  bodies: [{ id: 'bearing', capacity: 1e15, coreShare: 0, toAir: 0, skinToCore: 0 }],
  axes: [
    {
      id: 'X',
      travel: length,
      workAt: length / 2,
      measuring: {
        kind: 'screw',
        alpha: 12e-6,
        fixedAt: 0,
        farEnd: length,
        diameter,
        film: 0,
        motionFilm: 0,
        bearing: 'bearing',
        bearingHeat: 0,
        nutHeat: 0,
        mounting: { kind: 'one end fixed' },
      },
    },
  ],
  structure: [],
  spindle: { body: 'bearing', heat: 0 },
  waste: { standby: 0, duty: 0 },
  part: { follows: 'air', lag: 1, workRise: 0 },
  duty: { shifts: [], spindle: 0, motion: 0, job: [1, 1] },
})

/**
 * The simulator's own distributed screw, its bearing suddenly 10 K warmer: a plane wall with the bearing's contact as its
 * film. Its growth is its mean temperature.
 */
const distributedScrew = (): Check[] => {
  const [diameter, length, k, volumeHeat, contact, step] = [0.04, 0.8, 45, 3.69e6, 0.5, 60]
  const section = (Math.PI / 4) * diameter ** 2
  const biot = (contact * length) / (k * section)
  return [1, 4, 12].flatMap(hours => {
    const { network, strips } = assemble(bareScrew(diameter, length), 20)
    const [strip] = strips
    network.temperature[0] = 30
    for (let n = 0; n < (hours * 3600) / step; n++) network.step(step, 20, 20)
    const fourier = ((k / volumeHeat) * hours * 3600) / length ** 2
    const weights = stretchOver(strip!, 0, length)
    const [near, far] = [network.temperature[strip!.first]!, network.temperature[strip!.first + strip!.cells - 1]!]
    const place = 0.5 / strip!.cells
    // a cell's mean stands for its middle: width²/12 of variance beside the 2·α·t of the heat's spreading
    const smeared = 1 / (12 * strip!.cells ** 2) / (2 * fourier)
    const allowed = 10 * 2 * (cutting(biot, fourier, strip!.cells) + smeared)
    const row = (what: string, at: number | 'mean', computed: number): Check => ({
      item: `a screw on a bearing 10 K warmer, ${hours} h: ${what}`,
      source: 'plane wall by its series (Incropera & DeWitt, 5.5); allowed: cutting into 20 cells, twice',
      unit: '°C',
      published: 30 - 10 * wallSeries(biot, fourier, at),
      computed,
      allowed,
    })
    return [
      row('cell at the bearing', 1 - place, near),
      row('cell at the far end', place, far),
      row('mean (its growth)', 'mean', meanOver(strip!, weights, network.temperature)),
    ]
  })
}

/** The simulator's heat conduction, on which its truth stands, against solutions of the textbooks. */
export const simulatorChecks = (): Check[] => [lump(), ...planeWall(), halfInfinite(), ...fin(), ...distributedScrew()]
