import { describe, expect, it } from 'vitest'
import { demoPlant } from '../../simulators/index.js'
import { createMachine, type SimulatedMachine } from '../../simulators/machine.js'
import type { MachinePlant } from '../../simulators/plant.js'
import { randomStream } from '../../simulators/random.js'

const rest = { spindle: 0, motion: 0 }
const still = (id: string): MachinePlant => ({
  ...demoPlant.machines.find(machine => machine.id === id)!,
  influences: [],
  eddies: { spread: 0, memory: 100 },
})
const make = (plant: MachinePlant, start: number): SimulatedMachine =>
  createMachine(plant, randomStream(1, 'test'), start)
const live = (machine: SimulatedMachine, seconds: number, zone: number, duty = rest, step = 30): void => {
  for (let n = 0; n < seconds / step; n++)
    machine.step(
      n * step * 1000,
      step,
      { zone, beside: new Float64Array(0), outdoors: 20, sun: 0, hour: 12 },
      duty,
      true,
    )
}

describe('a machine of one temperature', () => {
  it('grows by α·ΔT·(s − fixed point) along a free screw (ISO 1)', () => {
    const plant = still('mill-1')
    const screw = plant.axes[0]!.measuring
    const axis = make(plant, 23).growth().X!
    const positions = axis.displacement.position
    expect(positions).toHaveLength(11)
    positions.forEach((s, i) => {
      expect(axis.displacement.value[i]).toBeCloseTo(screw.alpha * 3 * (s + 0.08), 12)
    })
    expect(axis.structure).toBe(0)
    expect(axis.atWork).toBeCloseTo(11.83e-6 * 3 * (0.381 + 0.08), 12)
  })

  it('carries places before the fixed point of a scale the other way', () => {
    const { displacement } = make(still('mill-3'), 22).growth().X!
    expect(displacement.value[0]).toBeCloseTo(-8.3e-6 * 2 * 0.4, 12)
    expect(displacement.value[5]).toBeCloseTo(0, 12)
    expect(displacement.value[10]).toBeCloseTo(8.3e-6 * 2 * 0.4, 12)
  })

  it('counts structure with its sign, at every position of the axis alike', () => {
    const { atZero, displacement, structure } = make(still('mill-1'), 25).growth().Z!
    expect(structure).toBeCloseTo(11.1e-6 * 5 * (0.6 - 0.22), 12)
    expect(atZero).toBeCloseTo(displacement.value[0]! + structure, 15)
  })

  it('bends not at all without a difference from front to rear', () => {
    expect(make(still('mill-2'), 26).growth().Y!.structure).toBeCloseTo(0, 12)
  })
})

it('a column 1 m high and 0.2 m deep bends by 29.25 µm for 1 K (α 11.7e-6; curvature after Roark)', () => {
  const mill2 = still('mill-2')
  const plant: MachinePlant = {
    ...mill2,
    structure: [
      {
        kind: 'bending column',
        axis: 'Y',
        sign: 1,
        height: 1,
        depth: 0.2,
        alpha: 11.7e-6,
        front: 'column-front',
        rear: 'column-rear',
      },
    ],
  }
  const machine = make(plant, 20)
  // nodes in the plant's order, core before skin: bed, bed skin, front, front skin
  machine.temperature[2] = 21
  machine.temperature[3] = 21
  expect(machine.growth().Y!.structure).toBeCloseTo(29.25e-6, 11)
})

describe('a screw fixed at both ends, stretched by 2.8 K', () => {
  const alpha = 11.8e-6
  const bedAlpha = 11.1e-6
  /** bed at `bed`, every cell of the X screw at `screw`, all else at 20 °C */
  const growthWith = (bed: number, screw: (cell: number) => number) => {
    const machine = make(still('mill-5'), 20)
    machine.temperature[0] = bed
    machine.temperature[1] = bed
    // three bodies of two nodes, three bearings, then twenty cells
    for (let cell = 0; cell < 20; cell++) machine.temperature[9 + cell] = screw(cell)
    return machine.growth().X!.displacement
  }

  it('goes where the bed goes until its stretch is used up', () => {
    for (const rise of [-3, 0, 2, 2.8]) {
      const { position, value } = growthWith(21, () => 21 + rise)
      position.forEach((s, i) => {
        expect(value[i]).toBeCloseTo(bedAlpha * (s + 0.08), 12)
      })
    }
  })

  it('grows freely by what it is warmer than that', () => {
    const { position, value } = growthWith(20, () => 24)
    position.forEach((s, i) => {
      expect(value[i]).toBeCloseTo(alpha * 1.2 * (s + 0.08), 12)
    })
  })

  it('pushes its colder pieces aside in between, and not at its ends', () => {
    // warmer half towards the fixed end: places in the middle move away from it
    const { position, value } = growthWith(20, cell => (cell < 10 ? 21 : 19))
    const middle = value[5]! // 0.3 m, the middle of a screw from −0.08 to 0.68 m
    expect(position[5]).toBeCloseTo(0.3, 12)
    expect(middle).toBeCloseTo(alpha * 0.38, 12)
    expect(Math.abs(value[10]!)).toBeLessThan(middle)
  })
})

describe('conditions that hold', () => {
  it('nothing drifts in a machine that has settled', () => {
    for (const { id } of demoPlant.machines) {
      const machine = make(
        { ...still(id), ...(still(id).coolant && { coolant: { ...still(id).coolant!, ripple: 0 } }) },
        20,
      )
      live(machine, 6 * 86_400, 20, rest, 300)
      for (const drifts of Object.values(machine.heldDrift([900, 2700, 7200], 'now')))
        for (const drift of drifts) expect(Math.abs(drift)).toBeLessThan(2e-8)
    }
  })

  it('what is said to come comes, to 1 %', () => {
    for (const id of ['mill-1', 'mill-2', 'mill-5', 'lathe-1', 'grinder-2']) {
      const machine = make(still(id), 20)
      const duty = { spindle: 0.7, motion: 0.6 }
      live(machine, 3600, 20, duty)
      live(machine, 1200, 17, rest)
      const horizons = [7200, 900, 2700]
      const said = machine.heldDrift(horizons, 'now')
      const before = machine.growth()
      let passed = 0
      const came: Record<number, ReturnType<SimulatedMachine['growth']>> = {}
      for (const horizon of [900, 2700, 7200]) {
        live(machine, horizon - passed, 17, rest, 10)
        passed = horizon
        came[horizon] = machine.growth()
      }
      for (const [axis, drifts] of Object.entries(said))
        horizons.forEach((horizon, i) => {
          const true_ = came[horizon]![axis]!.atWork - before[axis]!.atWork
          // 1 %, and the air's own mixing, which goes on for some minutes after the change
          expect(Math.abs(drifts[i]! - true_)).toBeLessThan(0.01 * Math.abs(true_) + 1.5e-7)
        })
    }
  })

  it('what was so lately and what is so now differ after a change, and agree when it is half an hour old', () => {
    const machine = make(still('mill-1'), 20)
    const differ = (): number => machine.heldDrift([2700], 'now').X![0]! - machine.heldDrift([2700], 'lately').X![0]!
    live(machine, 3600, 20)
    live(machine, 300, 24)
    expect(differ()).toBeGreaterThan(1e-6)
    live(machine, 2400, 24)
    expect(Math.abs(differ())).toBeLessThan(1e-7)
  })

  it('looking ahead changes nothing', () => {
    const [a, b] = [make(still('mill-4'), 19), make(still('mill-4'), 19)]
    for (const machine of [a, b]) live(machine, 3600, 21, { spindle: 0.5, motion: 0.5 })
    a.heldDrift([900, 7200], 'now')
    a.heldDrift([900, 7200], 'lately')
    for (const machine of [a, b]) live(machine, 3600, 18, rest)
    expect([...a.temperature]).toEqual([...b.temperature])
  })
})

describe('a machine at work', () => {
  it('warms its screw most where the nut moves, and settles', () => {
    const machine = make(still('mill-1'), 20)
    live(machine, 8 * 3600, 20, { spindle: 0, motion: 1 }, 60)
    // six nodes of bodies, three bearings, then twenty cells of X
    const cells = [...machine.temperature].slice(9, 29)
    const hottest = cells.indexOf(Math.max(...cells))
    expect(hottest).toBeGreaterThanOrEqual(8)
    expect(hottest).toBeLessThanOrEqual(11)
    expect(Math.max(...cells) - 20).toBeGreaterThan(4)
    expect(Math.max(...cells) - 20).toBeLessThan(15)
    expect(cells[19]! - 20).toBeLessThan(0.6 * (cells[10]! - 20))
  })

  it('does not follow one exponential: a body is quicker at first than its later pace says', () => {
    const machine = make(still('mill-1'), 20)
    const column = machine.reader({ kind: 'body', machine: 'mill-1', body: 'column' })
    const rest_: number[] = []
    for (let hour = 0; hour < 8; hour++) {
      rest_.push(25 - column())
      live(machine, 3600, 25)
    }
    const pace = (i: number): number => -1 / Math.log(rest_[i + 1]! / rest_[i]!)
    expect(pace(5)).toBeGreaterThan(1.03 * pace(0))
  })

  it('a cooled screw goes by its coolant, not by the air', () => {
    const machine = make(still('mill-4'), 20)
    live(machine, 4 * 3600, 26, rest, 60)
    const { atWork } = machine.growth().X!
    expect(atWork / (11.75e-6 * 0.58)).toBeCloseTo(machine.coolant() - 20, 0)
    expect(machine.coolant()).toBeLessThan(22.5)
  })

  it('its workpiece lags behind the air by tens of minutes', () => {
    const machine = make(still('mill-1'), 20)
    live(machine, 1600, 25)
    const part = (machine.partTemperature() - 20) / 5
    expect(part).toBeGreaterThan(0.45)
    expect(part).toBeLessThan(0.65)
  })
})
