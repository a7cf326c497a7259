import jstat from 'jstat'
import { uniformFloat64 } from 'pure-rand/distribution/uniformFloat64'
import { mersenne } from 'pure-rand/generator/mersenne'
import { standardDeviation } from 'simple-statistics'
import { expect, it } from 'vitest'
import { thermalLoop } from '../../../core/growth/index.js'
import { growthUncertainty } from '../../../core/judge/index.js'
import type { Axis, Screw } from '../../../core/shop.js'
import { machineWith, screwAxis, steel } from '../machines.js'

const { jStat } = jstat

/** both coefficients known to 5 %: a screw with the work 250 mm from its bearing, and a column of 500 mm against it */
const machine = machineWith({
  nodes: ['screw', 'column'],
  axes: [screwAxis('X', 'screw')],
  structure: [
    { kind: 'bar', id: 'c', name: 'column', axis: 'X', sign: -1, length: 0.5, material: steel, nodes: { column: 1 } },
  ],
})
const [axis] = thermalLoop(machine, 20).axes
const known = (calibration: number, placement: number, batch?: { name: string; uncertainty: number }) => ({
  calibration,
  placement,
  ...(batch && { batch }),
})
const uncertainty = (nodes: Parameters<typeof growthUncertainty>[2], [screw, column] = [20, 20]) =>
  growthUncertainty(axis!, [20, screw!, column!], nodes)

it('adds independent inputs as squares: sensors by how far each moves the axis, coefficients by what they have grown', () => {
  // 11.5 µm/m/K · 0.25 m · √(0.3² + 0.4²) K and 11.5 µm/m/K · 0.5 m · 0.2 K; the air is not in the loop
  const sensors = Math.hypot(11.5e-6 * 0.25 * 0.5, 11.5e-6 * 0.5 * 0.2)
  expect(uncertainty([null, known(0.3, 0.4), known(0.2, 0)])).toBeCloseTo(sensors, 12)
  // 5 % of the 5.75 µm by 2 K of the screw, and of the 23 µm by 4 K of the column
  const coefficients = Math.hypot(0.05 * 11.5e-6 * 0.25 * 2, 0.05 * 11.5e-6 * 0.5 * 4)
  expect(uncertainty([null, known(0, 0), known(0, 0)], [22, 24])).toBeCloseTo(coefficients, 12)
  expect(uncertainty([null, known(0.3, 0.4), known(0.2, 0)], [22, 24])).toBeCloseTo(
    Math.hypot(sensors, coefficients),
    12,
  )
})

it('is never less than what pieces of one material make, however far they are off alike', () => {
  const random = mersenne(7)
  const normal = () => jStat.normal.inv(Math.max(uniformFloat64(random), Number.MIN_VALUE), 0, 1)
  const cases: [number, number][] = [
    [22, 18],
    [22, 24],
    [21, 20.2],
  ]
  for (const temperatures of cases) {
    const stated = uncertainty([null, known(0, 0), known(0, 0)], temperatures)
    const drawnWith = (alike: number) => {
      const growths = Array.from({ length: 20_000 }, () => {
        const [shared, ofScrew, ofColumn] = [normal(), normal(), normal()]
        const off = (own: number) => 0.05 * (Math.sqrt(alike) * shared + Math.sqrt(1 - alike) * own)
        return (
          11.5e-6 * (1 + off(ofScrew)) * 0.25 * (temperatures[0] - 20) -
          11.5e-6 * (1 + off(ofColumn)) * 0.5 * (temperatures[1] - 20)
        )
      })
      return standardDeviation(growths)
    }
    const spreads = [0, 0.3, 0.7, 1].map(drawnWith)
    // four standard errors of a standard deviation of 20,000 draws
    for (const spread of spreads) expect(spread).toBeLessThan(1.02 * stated)
    expect(Math.max(...spreads)).toBeGreaterThan(0.98 * stated)
  }
})

it('lets an offset that a batch shares act on all its sensors alike: against each other they cancel', () => {
  const batch = { name: 'spring delivery', uncertainty: 0.3 }
  const shared = uncertainty([null, known(0, 0, batch), known(0, 0, batch)])
  expect(shared).toBeCloseTo(11.5e-6 * (0.5 - 0.25) * 0.3, 12)
  const apart = uncertainty([null, known(0, 0, batch), known(0, 0, { ...batch, name: 'autumn delivery' })])
  expect(apart).toBeCloseTo(11.5e-6 * Math.hypot(0.5, 0.25) * 0.3, 12)
})

it('is not known where a node of the axis is not', () => {
  expect(uncertainty([null, known(0, 0), null])).toBeNaN()
})

it('leaves open how far a fixed bearing holds its screw: from all that it holds back to nothing', () => {
  const screw = screwAxis('X', 'screw')
  const onBed: Axis = {
    ...screw,
    measuring: { ...(screw.measuring as Screw), mounting: { kind: 'one end fixed', bearingOn: { bed: 1 } } },
  }
  const [of] = thermalLoop(machineWith({ nodes: ['screw', 'bed'], axes: [onBed] }), 20).axes
  const t = [20, 23, 21]
  const heldBack = steel.alpha * 0.25 * 3 - of!.growthAt(0.25, t)
  const coefficient = 0.05 * of!.growthAt(0.25, t)
  expect(heldBack).toBeGreaterThan(0.5e-6)
  expect(growthUncertainty(of!, t, [null, known(0, 0), known(0, 0)])).toBeCloseTo(
    Math.hypot(heldBack / Math.sqrt(3), coefficient),
    12,
  )
})
