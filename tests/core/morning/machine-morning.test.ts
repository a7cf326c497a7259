import { describe, expect, it } from 'vitest'
import { thermalLoop } from '../../../core/growth/index.js'
import { finestAtDatum, movedUncertainty, warmUpOf, zeroNow } from '../../../core/morning/index.js'
import type { NodeState } from '../../../core/state.js'
import { air, body, machineWith, screwAxis, workClass } from '../machines.js'

const machine = machineWith({ nodes: ['x-screw'], axes: [screwAxis('X', 'x-screw')] })
const [axis] = machine.axes
const noon = Date.UTC(2026, 0, 14, 11)

describe('whether a datum still holds', () => {
  const finest = workClass({ id: 'plates', tolerance: 60e-6, share: 0.3, zeroedAt: 'datum' })
  const moved = (amount: number, uncertainty = 1e-6) => [{ axis: axis!, moved: amount, uncertainty }]

  it('is told against what heat may take of the finest class that counts from it', () => {
    const classes = [
      workClass({ id: 'bores', tolerance: 10e-6 }),
      finest,
      workClass({ id: 'rough', tolerance: 90e-6, zeroedAt: 'datum' }),
    ]
    expect(finestAtDatum(machine, classes)).toBe(finest)
    expect(finestAtDatum({ ...machine, makes: ['rough'] }, classes)!.id).toBe('rough')
    expect(finestAtDatum(machine, classes.slice(0, 1))).toBeNull()
    // heat may take 18 µm: known to ± 2 µm, 15 are within, 21 beyond, and of 17 it cannot be told
    expect(zeroNow(noon, moved(15e-6), finest)).toMatchObject({ at: noon, holds: true, axis: 'X', moved: 15e-6 })
    expect(zeroNow(noon, moved(-15e-6), finest)!.granted).toBeCloseTo(18e-6, 15)
    expect(zeroNow(noon, moved(-21e-6), finest)).toMatchObject({ holds: false, moved: -21e-6, uncertainty: 2e-6 })
    expect(zeroNow(noon, moved(17e-6), finest)).toMatchObject({ holds: null, moved: 17e-6 })
  })

  it('cannot be told where an axis is not known, unless another has certainly moved too far', () => {
    const unknown = { axis: { ...axis!, id: 'Z' }, moved: Number.NaN, uncertainty: Number.NaN }
    expect(zeroNow(noon, [unknown], finest)).toMatchObject({ holds: null, axis: null, moved: null })
    expect(zeroNow(noon, [unknown, ...moved(2e-6)], finest)).toMatchObject({ holds: null, axis: 'X' })
    expect(zeroNow(noon, [unknown, ...moved(30e-6)], finest)).toMatchObject({ holds: false, axis: 'X' })
    expect(zeroNow(noon, moved(2e-6), null)).toMatchObject({ holds: null, granted: null, moved: 2e-6 })
  })

  it('counts twice on an axis that works on a radius', () => {
    const lathe = [{ ...moved(12e-6)[0]!, axis: { ...axis!, readsDiameter: true } }]
    expect(zeroNow(noon, lathe, finest)).toMatchObject({ holds: false, moved: 24e-6, uncertainty: 4e-6 })
  })

  it('knows what moved as surely as its sensors stand for the screw and its steel is known', () => {
    const [loop] = thermalLoop(machine, 20).axes
    // held at 0.25 m from the bearing, steel of 11.5 µm/m/K known to 5 %, placed to 0.2 K, warmer by 4 K: by hand
    const length = 0.25
    const byHand = Math.hypot(11.5e-6 * length * 0.2, 0.05 * 11.5e-6 * length * 4)
    expect(movedUncertainty(loop!, [20, 24], [20, 20], [0.3, 0.2])).toBeCloseTo(byHand, 12)
    expect(movedUncertainty(loop!, [20, Number.NaN], [20, 20], [0.3, 0.2])).toBeNaN()
  })
})

describe('whether a machine is warmed up', () => {
  const state = (node: string, temperature: number | null, steadyExcess: number | null): NodeState => ({
    node,
    temperature,
    rate: 0,
    steadyExcess,
    timeConstant: node === 'air' ? null : 3600,
    timeConstantUncertainty: 0.1,
    at: noon,
    trust: 'ok',
    standIn: false,
  })
  const nodes = [air, body('head'), { ...body('column'), steadyExcess: 1.5 }]
  const heat = [{ node: 'head', since: noon - 60_000 }]
  const told = (head: [number | null, number | null], column: [number, number] = [21.5, 1.5]) =>
    warmUpOf(nodes, [state('air', 20, null), state('head', ...head), state('column', ...column)], heat, noon)

  it('is told from the body that its own heat warms most', () => {
    expect(told([20.3, 0.4])).toEqual({ kind: 'at rest', since: null, until: null })
    expect(told([24.4, 5])).toEqual({ kind: 'warmed up', since: noon - 60_000, until: null })
    // 5 K to come, of which 1 K may be left: first order, so ln 5 of its time constants
    const warming = told([20, 5])
    expect(warming.kind).toBe('warming')
    expect((warming.until! - noon) / 1000).toBeCloseTo(3600 * Math.log(5), 6)
    // what a body is above the air at rest anyway is no warmth of work
    expect(told([20.1, 0.2], [24.5, 4.5]).kind).toBe('warmed up')
  })

  it('is not known where nothing is known of its bodies', () => {
    expect(warmUpOf(nodes, [state('air', null, null), state('head', 22, 2)], heat, noon).kind).toBe('not known')
    expect(warmUpOf([air], [state('air', 20, null)], [], noon).kind).toBe('not known')
  })
})
