import { lumpedTimeConstant, temperatureAfter, timeToWithin } from '../../core/settling/index.js'
import type { Check } from './check.js'

/** Volume over surface of a sphere, m. */
const sphereLength = (diameter: number) => diameter / 6

const incropera = () => {
  const [h, c, rho, tau] = [400, 400, 8500, 1]
  const diameter = (6 * h * tau) / (rho * c)
  const timeConstant = lumpedTimeConstant(rho * c * sphereLength(diameter), h)
  return { diameter, time: timeToWithin(200 - 25, 200 - 199, timeConstant), timeConstant }
}

const cengel = () => lumpedTimeConstant(8500 * 320 * sphereLength(0.001), 210)

export const settlingChecks = (): Check[] => [
  {
    item: 'thermocouple bead, diameter for τ = 1 s',
    source: 'Incropera & DeWitt, example 5.1, from memory',
    unit: 'mm',
    published: 0.706,
    computed: incropera().diameter * 1000,
    allowed: 0.001,
  },
  {
    item: 'the bead from 25 to 199 °C in 200 °C gas',
    source: 'Incropera & DeWitt, example 5.1, from memory (5.2 s)',
    unit: 's',
    published: 5.2,
    computed: incropera().time,
    allowed: 0.05,
  },
  {
    item: 'the bead’s temperature after that time',
    source: 'Incropera & DeWitt, example 5.1, from memory',
    unit: '°C',
    published: 199,
    computed: temperatureAfter(25, 200, incropera().timeConstant, incropera().time),
    allowed: 1e-9,
  },
  {
    item: 'thermocouple bead of 1 mm: 1/τ',
    source: 'Çengel, example 4-1, from memory',
    unit: '1/s',
    published: 0.462,
    computed: 1 / cengel(),
    allowed: 0.002,
  },
  {
    item: 'the bead to 99 % of a step',
    source: 'Çengel, example 4-1, from memory (about 10 s)',
    unit: 's',
    published: 10,
    computed: timeToWithin(1, 0.01, cengel()),
    allowed: 0.1,
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
 * The trade's fact that a big change can take a machine a day or more: hours until a cast-iron bed of 3 t in still air
 * (6 W/m²K, 8 m²) is within 0.2 K of its equilibrium after a change of 10 °F.
 */
export const hoursForBigChange = (): number =>
  timeToWithin(10 * (5 / 9), 0.2, lumpedTimeConstant(3000 * 500, 6 * 8)) / 3600
