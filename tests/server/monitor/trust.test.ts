import { describe, expect, it } from 'vitest'
import { saySensorFault } from '../../../core/sentences/index.js'
import type { Machine, Sensor, Shop } from '../../../core/shop.js'
import { createMonitor } from '../../../server/monitor/index.js'
import { machineWith, screwAxis, sensorEveryMinute, workClass } from '../../core/machines.js'
import { faultOf, reader } from '../../in-words.js'

const start = Date.UTC(2026, 0, 12, 6)
const minute = 60_000

const onNode = (node: string): Sensor => sensorEveryMinute(node, { kind: 'node', machine: 'mill', node })

const plain = machineWith({ nodes: ['screw', 'column'], axes: [screwAxis('X', 'screw')] })
const shopOf = (machine: Machine = plain): Shop => ({
  name: 'invented',
  timeZone: 'UTC',
  referenceTemperature: 20,
  invented: true,
  machines: [machine],
  sensors: [onNode('air'), onNode('screw'), onNode('column'), sensorEveryMinute('hall', { kind: 'shop air' })],
  sources: [],
  workClasses: [workClass()],
})

const running = (shop = shopOf(), delay = 0) => {
  const monitor = createMonitor({ shop })
  let now = start
  const minutes = (count: number, values: Record<string, number> | ((i: number) => Record<string, number>)) => {
    for (let i = 0; i < count; i++) {
      now += minute
      const of = typeof values === 'function' ? values(i) : values
      monitor.take(Object.entries(of).map(([id, value]) => ({ sensor: id, at: now - delay, value, receivedAt: now })))
      monitor.advance(now)
    }
  }
  return {
    monitor,
    minutes,
    sensor: (id: string) => monitor.sensors().find(s => s.sensor === id)!,
    node: (id: string) => monitor.machine('mill')!.nodes.find(n => n.node === id)!,
    verdict: () => monitor.machine('mill')!.classes[0]!,
  }
}

const calm = { air: 20.2, screw: 20.3, column: 20.3, hall: 20.2 }
const without = (...ids: string[]) => Object.fromEntries(Object.entries(calm).filter(([id]) => !ids.includes(id)))

describe('a sensor on the board', () => {
  it('that its network says is gone is back with its next reading, and not with one of before', () => {
    const run = running()
    run.minutes(70, calm)
    const now = start + 70 * minute
    run.monitor.setGone(['screw'], 'its node has left')
    run.monitor.take([{ sensor: 'screw', at: now - 30 * minute, value: 20.3, receivedAt: now }])
    run.monitor.advance(now + 1000)
    expect(run.sensor('screw')).toMatchObject({ trust: 'lost', fault: { kind: 'gone', why: 'its node has left' } })
    run.minutes(1, calm)
    expect(run.sensor('screw').trust).toBe('ok')
  })
  it('shows the newest of what its device tells of itself, which has no say in its trust', () => {
    const run = running()
    run.minutes(70, calm)
    const changes: string[] = []
    run.monitor.onChange(({ sensors }) => changes.push(...sensors.map(s => s.sensor)))
    expect(run.sensor('screw')).not.toHaveProperty('battery')
    const battery = (value: number, at: number) => ({ value, unit: '%' as const, low: value <= 20, at })
    run.monitor.takeConditions([
      { sensor: 'screw', battery: battery(12, start + 2 * minute) },
      { sensor: 'screw', battery: battery(55, start + minute), signal: { value: -80, unit: 'dBm', at: start } },
      { sensor: 'nobody', battery: battery(55, start) },
    ])
    run.monitor.advance(start + 70 * minute)
    expect(run.sensor('screw')).toMatchObject({
      trust: 'ok',
      battery: battery(12, start + 2 * minute),
      signal: { value: -80, unit: 'dBm', at: start },
    })
    expect(changes).toEqual(['screw'])
  })

  it('that is not believed says why, since when and what to do', () => {
    const run = running()
    run.minutes(70, calm)
    expect(run.sensor('screw')).toMatchObject({ trust: 'ok', fault: null })
    run.minutes(3, { ...calm, screw: -127 })
    const { trust, fault, since } = run.sensor('screw')
    expect(trust).toBe('suspect')
    expect(saySensorFault(fault!, reader(since))).toEqual({
      text: 'sends −127 °C, its code for a broken connection',
      more: 'Check its plug and cable; replace the sensor if it stays so.',
    })
    expect(saySensorFault(fault!, reader(since, 'inch')).text).toMatch(/^sends −197 °F, /)
    expect(since).toBe(start + 72 * minute)
  })

  it('earns its trust back after ten good minutes, and says when that will be', () => {
    const run = running()
    run.minutes(70, calm)
    run.minutes(3, { ...calm, screw: 85 })
    run.minutes(4, calm)
    expect(faultOf(run.sensor('screw'))).toBe('reporting again since 07:14; believed again at 07:24 if it stays so')
    expect(run.verdict().verdict).toBe('unknown')
    run.minutes(6, calm)
    expect(run.sensor('screw').trust).toBe('suspect')
    run.minutes(1, calm)
    expect(run.sensor('screw').trust).toBe('ok')
    expect(run.verdict().verdict).not.toBe('unknown')
  })

  it('begins to earn anew when it fails again, or falls silent, meanwhile', () => {
    const run = running()
    run.minutes(70, calm)
    run.minutes(3, { ...calm, screw: 85 })
    run.minutes(8, calm)
    run.minutes(1, { ...calm, screw: 85 })
    run.minutes(8, calm)
    expect(run.sensor('screw').trust).toBe('suspect')
    run.minutes(3, without('screw'))
    run.minutes(9, calm)
    expect(run.sensor('screw').trust).toBe('suspect')
    run.minutes(3, calm)
    expect(run.sensor('screw').trust).toBe('ok')
  })

  it('that was only late is believed at once; one that was lost is not', () => {
    const run = running()
    run.minutes(70, calm)
    run.minutes(5, without('screw'))
    expect(run.sensor('screw').trust).toBe('late')
    run.minutes(1, calm)
    expect(run.sensor('screw').trust).toBe('ok')
    run.minutes(25, without('screw'))
    expect(run.sensor('screw').trust).toBe('lost')
    run.minutes(1, calm)
    expect(run.sensor('screw').trust).toBe('suspect')
    run.minutes(10, calm)
    expect(run.sensor('screw').trust).toBe('ok')
  })

  it('that reports more seldom than the shop file says is told so, and believed after each reading', () => {
    const run = running()
    for (let hour = 0; hour < 7; hour++) {
      run.minutes(1, calm)
      run.minutes(9, without('screw'))
    }
    expect(run.sensor('screw').trust).toBe('late')
    expect(faultOf(run.sensor('screw'))).toBe('reports only every 10 min; expected every 1 min')
    const missing = run.verdict().reasons.find(({ kind }) => kind === 'missing')
    expect(missing).toMatchObject({ why: { kind: 'sensor', fault: { kind: 'silent', seldom: 600 } } })
    run.minutes(2, calm)
    expect(run.sensor('screw').trust).toBe('ok')
    run.minutes(5, without('screw'))
    expect(faultOf(run.sensor('screw'))).toBe('silent; expected every 1 min')
  })

  it('is not suspect for one spike, and the spike moves nothing; three are a fault', () => {
    const run = running()
    run.minutes(70, calm)
    const before = run.node('screw').temperature!
    run.minutes(1, { ...calm, screw: 31 })
    expect(run.sensor('screw').trust).toBe('ok')
    expect(run.node('screw').temperature).toBeCloseTo(before, 6)
    run.minutes(2, calm)
    expect(run.sensor('screw').trust).toBe('ok')
    for (let i = 0; i < 2; i++) {
      run.minutes(1, { ...calm, screw: 12 })
      run.minutes(4, calm)
    }
    expect(run.sensor('screw')).toMatchObject({ trust: 'suspect' })
    expect(faultOf(run.sensor('screw'))).toMatch(/isolated spikes/)
  })

  it('that jumps is believed once the next reading confirms it', () => {
    const run = running()
    run.minutes(70, calm)
    run.minutes(1, { ...calm, air: 12 })
    expect(run.node('air').temperature).toBeCloseTo(20.2, 1)
    run.minutes(3, { ...calm, air: 12.1 })
    expect(run.sensor('air').trust).toBe('ok')
    expect(run.node('air').temperature!).toBeLessThan(13)
  })

  it('that repeats one value while its neighbours move is frozen, until it tells something new', () => {
    const run = running()
    const moving = (i: number) => ({ ...calm, air: 20 + 0.05 * i, screw: 20 + 0.03 * i, column: 20 + 0.03 * i })
    run.minutes(40, moving)
    run.minutes(60, i => ({ ...moving(40 + i), screw: 21.2 }))
    expect(run.sensor('screw')).toMatchObject({ trust: 'suspect' })
    expect(faultOf(run.sensor('screw'))).toMatch(/same value for \d+ (min|h) while its neighbours moved/)
    run.minutes(20, i => moving(100 + i))
    expect(run.sensor('screw').trust).toBe('ok')
    expect(run.node('screw').temperature).toBeCloseTo(moving(119).screw, 0)
  })

  it('that repeats one value in a quiet shop is believed', () => {
    const run = running()
    run.minutes(30, i => ({ ...calm, screw: 20.3 + 0.1 * (i % 2) }))
    run.minutes(600, calm)
    expect(run.sensor('screw').trust).toBe('ok')
  })

  it('whose clock is behind is named so, not silent', () => {
    const run = running(shopOf(), 60 * minute)
    run.minutes(30, calm)
    expect(run.sensor('screw')).toMatchObject({ trust: 'suspect' })
    expect(faultOf(run.sensor('screw'))).toMatch(/clock is 1 h behind/)
  })
})

describe('a sensor that strays while all beside it is as usual', () => {
  const wandering = (i: number) => ({ ...calm, screw: 20.3 - (0.9 * Math.min(i, 120)) / 60 })
  const lived = () => {
    const run = running()
    const at = (i: number) => start - (12 * 48 - i) * 30 * minute
    run.monitor.recall(
      Array.from({ length: 12 * 48 }, (_, i) =>
        Object.entries(calm).map(([sensor, value]) => ({ sensor, at: at(i), value, receivedAt: at(i) })),
      ).flat(),
    )
    run.minutes(30, calm)
    return run
  }

  it('is not believed until it has been back for two hours', () => {
    const { sensor, minutes } = lived()
    minutes(270, wandering)
    expect(sensor('screw').fault).toMatchObject({ kind: 'strayed', isSlow: false })
    minutes(90, calm)
    expect(sensor('screw').trust).toBe('suspect')
    minutes(60, calm)
    expect(sensor('screw').trust).toBe('ok')
  })

  it('is not blamed before it is known what is usual, nor while the air it stands in is not known', () => {
    const { sensor, minutes } = running()
    minutes(300, wandering)
    expect(sensor('screw').trust).toBe('ok')
    const airless = lived()
    airless.minutes(270, i => {
      const { air: _, ...others } = wandering(i)
      return others
    })
    expect(airless.sensor('screw').trust).toBe('ok')
  })
})

describe('a sensor that comes to the air within ten minutes', () => {
  const warm = { air: 20.2, screw: 25.2, column: 22.4, hall: 20.2 }
  const faultAfter = (next: Record<string, number>) => {
    const { sensor, minutes } = running()
    // who repeats one value would be taken for frozen
    const noisy = (values: Record<string, number>) => (i: number) =>
      Object.fromEntries(Object.entries(values).map(([id, value]) => [id, value + 0.01 * (i % 2)]))
    minutes(60, noisy(warm))
    minutes(20, noisy(next))
    return sensor('screw').fault
  }
  it('has fallen off when it does so alone, and not when the machine cools with it after its work', () => {
    expect(faultAfter({ ...warm, screw: 20.3 })).toMatchObject({ kind: 'stepped to the air' })
    expect(faultAfter({ ...warm, screw: 20.3, column: 21 })).toBeNull()
  })
})

describe('a stand-in for the air', () => {
  const standIn = { node: 'column', uncertainty: 0.8 }
  const covered: Machine = { ...plain, nodes: plain.nodes.map(n => (n.id === 'air' ? { ...n, standIn } : n)) }

  it('is what a body is taken to follow while the air is silent, not the air that was', () => {
    const run = running(shopOf(covered))
    run.minutes(120, calm)
    const warming = (i: number) => ({ ...without('air'), screw: 20.3 + 0.02 * i, column: 20.3 + 0.02 * i })
    run.minutes(180, warming)
    expect(run.verdict().verdict).not.toBe('unknown')
    expect(run.node('air')).toMatchObject({ standIn: true, trust: 'lost' })
    const { temperature, steadyExcess } = run.node('screw')
    // it goes along with the column: heading for the stale air, 3.6 K below, it would need an own heat of that much more
    expect(temperature! - run.node('column').temperature!).toBeCloseTo(0, 1)
    expect(steadyExcess!).toBeLessThan(2.5)
  })

  it('makes the bodies that follow it less certain', () => {
    const run = running(shopOf(covered))
    run.minutes(120, calm)
    const before = run.verdict().axes[0]!.uncertainty
    run.minutes(4, without('air'))
    expect(run.verdict().axes[0]!.uncertainty).toBeGreaterThan(before)
  })
})
