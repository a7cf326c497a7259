import { describe, expect, it } from 'vitest'
import type { Machine, WorkClass } from '../../../core/shop.js'
import type { KnownSpindle } from '../../../core/spindle/index.js'
import { createMonitor } from '../../../server/monitor/index.js'
import { machineWith, screwAxis, sensorEveryMinute, workClass } from '../../core/machines.js'

const minute = 60_000
const start = Date.UTC(2026, 0, 12)
/** 20 µm at 6000 1/min with a time constant of 20 min */
const known: KnownSpindle = {
  law: { speeds: [100], steady: [20e-6], shares: [1], variation: 'alike', logs: [Math.log(1200)] },
  misfit: 0.2e-6,
  growth: 0.05,
  timeConstant: 0.1,
  testedAt: start,
}

/**
 * A mill at rest in still air at 20 °C; its spindle turns as `speedAt` (1/s, by minute) has it, or sends nothing.
 */
const lived = (
  minutes: number,
  speedAt: ((minute: number) => number) | null,
  {
    tested = null,
    said,
    of = {},
  }: { tested?: KnownSpindle | null; said?: Machine['spindle']; of?: Partial<WorkClass> },
) => {
  const machine = machineWith({ nodes: ['screw'], axes: [screwAxis('X', 'screw'), screwAxis('Z', 'screw')] })
  const monitor = createMonitor({
    shop: {
      name: 'invented',
      timeZone: 'UTC',
      referenceTemperature: 20,
      invented: true,
      machines: [{ ...machine, ...(said && { spindle: said }) }],
      sensors: [
        ...['air', 'screw'].map(node => sensorEveryMinute(node, { kind: 'node', machine: machine.id, node })),
        { ...sensorEveryMinute('speed', { kind: 'spindle', machine: machine.id }), unit: '1/min' },
      ],
      sources: [],
      workClasses: [workClass(of)],
    },
  })
  monitor.setSpindle(machine.id, tested)
  for (let m = 0; m <= minutes; m++) {
    const now = start + m * minute
    const value = (sensor: string, value: number) => ({ sensor, at: now, value, receivedAt: now })
    monitor.take([value('air', 20), value('screw', 20), ...(speedAt ? [value('speed', speedAt(m))] : [])])
    monitor.advance(now)
  }
  const state = monitor.machine(machine.id)!
  const [x, z] = state.classes[0]!.axes
  return { monitor, state, x: x!, z: z!, reasons: state.classes[0]!.reasons }
}

describe('a spindle in the verdict', () => {
  it('has no say where nothing is known of it: no test and no word in the shop file', () => {
    const [silent, turning] = [lived(60, null, {}), lived(60, () => 100, {})]
    expect(silent.state.spindle).toBeUndefined()
    expect(turning.state.spindle).toBeUndefined()
    expect(turning.state.growth).toEqual(silent.state.growth)
    expect(turning.z).toEqual(silent.z)
    expect(turning.z.parts.map(({ name }) => name)).not.toContain('growth of the spindle')
  })

  it('counts from its growth now, computed from its speed, up to the job’s speed', () => {
    // at rest for six hours, so that what was not seen is forgotten
    const { state, x, z, reasons } = lived(360, () => 0, { tested: known, of: { duration: 2700 } })
    expect(state.spindle).toMatchObject({ speed: 0, workSpeed: 100, axis: 'Z', isBeyond: false, testedAt: start })
    expect(Math.abs(state.spindle!.growth!)).toBeLessThan(0.1e-6)
    const expected = -20e-6 * (1 - Math.exp(-2700 / 1200))
    expect(z.parts.find(({ name }) => name === 'growth of the spindle')!.amount).toBeCloseTo(expected, 6)
    expect(z.drift).toBeCloseTo(expected, 6)
    expect(z.budget.map(({ name }) => name)).toContain('growth of the spindle')
    expect(x.parts.map(({ name }) => name)).not.toContain('growth of the spindle')
    expect(reasons[0]).toMatchObject({ kind: 'spindle', axis: 'Z', isLive: true, speed: 100 })
    // warm from the same speed, nothing is left to come
    const warm = lived(360, () => 100, { tested: known, of: { duration: 2700 } })
    expect(warm.state.spindle!.growth!).toBeCloseTo(20e-6, 6)
    expect(Math.abs(warm.z.drift)).toBeLessThan(0.2e-6)
    expect(warm.state.growth.find(({ axis }) => axis === 'Z')!.atWork).toBeCloseTo(-20e-6, 6)
    expect(warm.state.growth.find(({ axis }) => axis === 'X')!.atWork).toBeCloseTo(0, 6)
  })

  it('takes the speed of the work class, and says what lies beyond the tested ones', () => {
    const slow = lived(360, () => 0, { tested: known, of: { spindleSpeed: 50 } })
    const fast = lived(360, () => 0, { tested: known, of: { spindleSpeed: 150 } })
    expect(Math.abs(slow.z.drift)).toBeCloseTo(10e-6 * (1 - Math.exp(-2700 / 1200)), 6)
    expect(fast.reasons[0]).toMatchObject({ kind: 'spindle', isBeyond: true })
    expect(slow.reasons[0]).toMatchObject({ isBeyond: false })
  })

  it('is the worst from cold to warm, and says so, where its speed does not arrive or is no longer believed', () => {
    const { state, z, reasons } = lived(60, null, { tested: known })
    expect(state.spindle).toMatchObject({ growth: null, speed: null })
    expect(Math.abs(z.drift)).toBeCloseTo(20e-6 * (1 - Math.exp(-2700 / 1200)), 6)
    expect(reasons.find(({ kind }) => kind === 'spindle')).toMatchObject({ isLive: false })
    const { monitor } = lived(120, () => 100, { tested: known })
    // an hour later, with nothing heard of it
    const later = start + 180 * minute
    monitor.take(['air', 'screw'].map(sensor => ({ sensor, at: later, value: 20, receivedAt: later })))
    monitor.advance(later)
    expect(monitor.machine('mill')!.spindle).toMatchObject({ growth: null, speed: null })
  })

  it('can be stated in the shop file; a test then rules', () => {
    const said = {
      axis: 'Z',
      sign: 1 as const,
      workSpeed: 200,
      stated: { growth: 40e-6, growthUncertainty: 0.3, timeConstant: 1200, timeConstantUncertainty: 0.5 },
    }
    const stated = lived(360, () => 0, { said })
    expect(stated.z.drift).toBeCloseTo(40e-6 * (1 - Math.exp(-2700 / 1200)), 6)
    expect(stated.reasons[0]).toMatchObject({ kind: 'spindle', testedAt: null })
    const tested = lived(360, () => 0, { said: { ...said, workSpeed: 100 }, tested: known })
    expect(tested.z.drift).toBeCloseTo(20e-6 * (1 - Math.exp(-2700 / 1200)), 6)
  })

  it('counts from the datum where the zero does, if its growth was known then', () => {
    const { monitor } = lived(360, () => 100, { tested: known, of: { zeroedAt: 'datum' } })
    monitor.setDatum({ id: 1, by: 'Ada', note: '', ...monitor.datumNow('mill'), firstPart: true })
    const now = start + 360 * minute
    expect(monitor.machine('mill')!.classes[0]!.reasons[0]).toMatchObject({ kind: 'zero' })
    monitor.advance(now + minute)
    const state = monitor.machine('mill')!
    expect(state.datum!.spindle).toBeCloseTo(20e-6, 6)
    const z = state.classes[0]!.axes.find(({ axis }) => axis === 'Z')!
    // the spindle is as it was at the datum, and a job at the same speed leaves it there
    expect(Math.abs(z.drift)).toBeLessThan(0.3e-6)
    expect(state.growth.find(({ axis }) => axis === 'Z')!.sinceDatum).toBeCloseTo(0, 6)
  })

  it('grows ahead as it would if it went on, in the forecast of its axis', () => {
    const { monitor } = lived(360, m => (m < 359 ? 0 : 100), { tested: known })
    const steps = monitor.forecasting('mill', [], 2 * 3600, 25)
    let step = steps.next()
    while (!step.done) step = steps.next()
    const z = step.value.axes.find(({ axis }) => axis === 'Z')!
    expect(z.mean[0]).toBeGreaterThan(-2e-6)
    expect(z.mean.at(-1)).toBeLessThan(-19e-6)
    expect(step.value.axes.find(({ axis }) => axis === 'X')!.mean.at(-1)).toBeCloseTo(0, 6)
  })
})
