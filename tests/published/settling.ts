import { temperatureAfter } from '../../core/settling/index.js'
import type { Check } from './check.js'

/** Volume over surface of a sphere, m. */
const sphereLength = (diameter: number) => diameter / 6

/** s; time constant of a sphere in a gas: ρ·c·(d/6)/h */
const sphere = (density: number, heat: number, diameter: number, film: number): number =>
  (density * heat * sphereLength(diameter)) / film

export const settlingChecks = (): Check[] => [
  {
    item: 'thermocouple bead of 0.706 mm from 25 °C, after 5.2 s in 200 °C gas',
    source: 'Incropera & DeWitt, example 5.1, from memory; allowed: the digits of 5.2 s',
    unit: '°C',
    published: 199,
    computed: temperatureAfter(25, 200, sphere(8500, 400, 0.706e-3, 400), 5.2),
    allowed: 0.05,
  },
  {
    item: 'thermocouple bead of 1 mm after 10 s, part of a step still to come',
    source: 'Çengel, example 4-1, from memory (99 % after about 10 s)',
    unit: '%',
    published: 1,
    computed: 100 * temperatureAfter(1, 0, sphere(8500, 320, 0.001, 210), 10),
    allowed: 0.05,
  },
  {
    item: 'part of a step covered in one time constant',
    source: '1 − 1/e, definition of the time constant',
    unit: '%',
    published: 63.212,
    computed: 100 * temperatureAfter(0, 1, 5400, 5400),
    allowed: 0.001,
  },
]

/**
 * The trade's fact that a big change can take a machine a day or more: how far, in K, a cast-iron bed of 3 t in still air
 * (6 W/m²K, 8 m²) still is from its equilibrium a day after a change of 10 °F.
 */
export const leftAfterDay = (): number => temperatureAfter(10 * (5 / 9), 0, (3000 * 500) / (6 * 8), 86_400)
