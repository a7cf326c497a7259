import { beforeEach, describe, expect, it } from 'vitest'
import { sayReason } from '../../../core/sentences/index.js'
import type { Machine, Sensor, Shop } from '../../../core/shop.js'
import type { Reason } from '../../../core/state.js'
import { createMonitor } from '../../../server/monitor/index.js'
import type { MonitorChange, MonitorStart } from '../../../server/monitor/monitor.js'
import { inTurns } from '../../../server/turns.js'
import { machineWith, screwAxis, workClass } from '../../core/machines.js'
import { inWords, reader } from '../../in-words.js'

const start = Date.UTC(2026, 0, 12, 6)
const minute = 60_000

const sensor = (id: string, at: Sensor['at'], unit: Sensor['unit'] = '°C'): Sensor => ({
  id,
  name: id,
  topic: `t/${id}`,
  payload: { kind: 'number' },
  unit,
  interval: 60,
  uncertainty: 0.05,
  offset: 0,
  at,
})

const shopWith = (machine: Machine): Shop => ({
  name: 'invented',
  timeZone: 'UTC',
  referenceTemperature: 20,
  invented: true,
  machines: [machine],
  sensors: [
    sensor('air', { kind: 'node', machine: 'mill', node: 'air' }),
    sensor('screw', { kind: 'node', machine: 'mill', node: 'screw' }),
    sensor('hall', { kind: 'shop air' }),
    sensor('contact', { kind: 'source', source: 'door' }, 'state'),
  ],
  sources: [{ id: 'door', name: 'Dock door', kind: 'door' }],
  workClasses: [workClass()],
})

const machine: Machine = {
  ...machineWith({ nodes: ['screw'], axes: [screwAxis('X', 'screw')] }),
  exposedTo: ['door'],
}

/** A shop whose readings a test says minute by minute. */
const running = (shop: Shop, known: Partial<MonitorStart> = {}) => {
  const monitor = createMonitor({ shop, ...known })
  const changes: MonitorChange[] = []
  monitor.onChange(change => changes.push(change))
  let now = start
  const minutes = (count: number, values: Record<string, number> | ((i: number) => Record<string, number>)) => {
    for (let i = 0; i < count; i++) {
      now += minute
      const of = typeof values === 'function' ? values(i) : values
      monitor.take(Object.entries(of).map(([id, value]) => ({ sensor: id, at: now, value, receivedAt: now })))
      monitor.advance(now)
    }
  }
  const state = () => monitor.machine('mill')!.classes[0]!
  return { monitor, changes, minutes, state, now: () => now }
}

const calm = { air: 20.2, screw: 20.3, hall: 20.2, contact: 0 }

/** Ten waits a day apart at whose end a time had been named. @param cameBy ms of what was found */
const tenNamed = (cameBy: (found: number) => number | null) =>
  Array.from({ length: 10 }, (_, i) => {
    const found = start - (10 - i) * 24 * 60 * minute
    const came = cameBy(found)
    return { machine: 'mill', workClass: 'close', at: found, named: found, found, fitBy: found, shown: true, came }
  })

describe('monitor', () => {
  let run = running(shopWith(machine))
  const said = () => inWords(run.state().reasons[0], reader(run.now()))
  beforeEach(() => {
    run = running(shopWith(machine))
  })

  it('loses a sensor at once when its network says it is gone, with the reason, and has it back at its word', () => {
    run.minutes(3, calm)
    const screw = () => run.monitor.sensors().find(s => s.sensor === 'screw')
    expect(screw()?.trust).toBe('ok')
    run.monitor.setGone(['screw', 'nobody'], 'its edge node edge-1 has lost the broker')
    run.monitor.advance(run.now() + 1000)
    expect(screw()).toMatchObject({
      trust: 'lost',
      fault: { kind: 'gone', why: 'its edge node edge-1 has lost the broker' },
    })
    run.monitor.setGone(['screw'], null)
    run.monitor.advance(run.now() + 2000)
    expect(screw()).toMatchObject({ trust: 'ok', fault: null })
    run.monitor.setGone(['screw'], 'gone again')
    run.minutes(1, calm)
    expect(screw()).toMatchObject({ trust: 'ok', fault: null })
  })

  it('knows nothing before the first reading, and says what is missing', () => {
    run.monitor.advance(start)
    expect(run.state().verdict).toBe('unknown')
    expect(
      run
        .state()
        .reasons.map(r => inWords(r))
        .join(),
    ).toContain('no reading yet')
  })

  it('says fit for a machine at rest after it has watched long enough', () => {
    run.minutes(9, calm)
    expect(run.state().verdict).toBe('unknown')
    run.minutes(60, calm)
    expect(run.state().verdict).toBe('fit')
  })

  it('lets a machine wait for fit ahead only while it is not fit', async () => {
    const latest = async () => (await inTurns(run.monitor.forecasting('mill', [], 3600, 3))).classes[0]!.ready!.latest
    for (let i = 0; i < 60 && run.state()?.verdict !== 'settling'; i++) run.minutes(1, calm)
    expect(await latest()).toBeGreaterThan(run.now())
    run.minutes(90, calm)
    expect(run.state().verdict).toBe('fit')
    expect(await latest()).toBe(run.now())
  })

  it('evaluates a machine a step; what is taken between two steps is for the next time', () => {
    const other = (id: string, node: string) => sensor(id, { kind: 'node', machine: 'other', node })
    const shop = shopWith(machine)
    const both = running({
      ...shop,
      machines: [machine, { ...machine, id: 'other', name: 'Other' }],
      sensors: [...shop.sensors, other('air-2', 'air'), other('screw-2', 'screw')],
    })
    both.minutes(3, { ...calm, 'air-2': 20.2, 'screw-2': 20.3 })
    const { monitor, changes } = both
    const read = (id: string, at: number, value: number) => monitor.take([{ sensor: id, at, value, receivedAt: at }])
    const seconds = (count: number) => both.now() + 1000 * count
    changes.length = 0
    read('screw', seconds(1), 20.4)
    read('screw-2', seconds(1), 20.4)
    const steps = monitor.advancing(seconds(2))
    expect(steps.next().done).toBe(false)
    read('screw', seconds(3), 20.5)
    expect(steps.next().done).toBe(true)
    expect(changes.map(change => change.machines.map(m => m.machine))).toEqual([['mill', 'other']])
    monitor.advance(seconds(4))
    expect(changes[1]!.machines.map(m => m.machine)).toEqual(['mill'])
  })

  it('looks ahead in steps, and nothing that comes between them is in it', () => {
    run.minutes(70, calm)
    const whole = () => {
      const steps = run.monitor.forecasting('mill', [], 72 * 3600, 500)
      let count = 0
      for (;;) {
        const step = steps.next()
        if (step.done) return { count, found: step.value }
        count += 1
      }
    }
    const { count, found } = whole()
    // a step at least for each node, axis and work class
    expect(count).toBeGreaterThanOrEqual(found.nodes.length + found.axes.length + found.classes.length)
    const steps = run.monitor.forecasting('mill', [], 72 * 3600, 500)
    steps.next()
    run.minutes(30, { ...calm, air: 27 })
    let step = steps.next()
    while (!step.done) step = steps.next()
    expect(step.value).toEqual(found)
  })

  it('turns unknown when a needed sensor falls silent, and names it', () => {
    run.minutes(70, calm)
    const { screw: _, ...silent } = calm
    run.minutes(4, silent)
    expect(run.state().verdict).toBe('unknown')
    expect(said()).toBe('Screw is not known: sensor screw silent since 07:10')
    expect(run.state().thermalErrorIndex).toBeNull()
  })

  it('turns unknown on time alone, when all readings stop', () => {
    run.minutes(70, calm)
    run.monitor.advance(run.now() + 2.6 * minute)
    expect(run.state().verdict).toBe('unknown')
    expect(run.monitor.sensors().find(s => s.sensor === 'screw')!.trust).toBe('late')
  })

  it('does not take a device fault code for a temperature', () => {
    run.minutes(70, calm)
    run.minutes(3, { ...calm, screw: 85 })
    expect(run.state().verdict).toBe('unknown')
    expect(run.monitor.sensors().find(s => s.sensor === 'screw')).toMatchObject({ trust: 'suspect' })
    expect(run.monitor.machine('mill')!.nodes.find(n => n.node === 'screw')!.temperature).toBeNull()
  })

  it('is not moved by one bad reading', () => {
    run.minutes(70, calm)
    run.minutes(1, { ...calm, screw: 31 })
    run.minutes(5, calm)
    expect(run.state().verdict).toBe('fit')
  })

  it('says unfit and names the open door when cold air reaches the machine, then settling once it is shut', () => {
    run.minutes(70, calm)
    run.minutes(12, i => ({ ...calm, contact: 1, air: 20.2 - Math.min(8, i * 2), screw: 20.3 - 0.12 * i }))
    expect(run.state().verdict).toBe('unfit')
    expect(said()).toMatch(/^Dock door open 11 min: /)
    run.minutes(10, i => ({ ...calm, air: Math.min(20.2, 12.2 + i * 2), screw: 18.9 - 0.02 * i }))
    expect(run.state().verdict).toBe('settling')
    expect(said()).toMatch(/Dock door was open 1[12] min/)
    const verdicts = run.changes.flatMap(c => c.verdicts.map(v => v.verdict))
    expect(verdicts).toEqual(expect.arrayContaining(['unknown', 'fit', 'unfit', 'settling']))
  })

  it('says how long it must still prove itself, and names the time accordingly', () => {
    run.minutes(70, calm)
    // a part and air that are suddenly warm, then calm again: fit is lost once
    run.minutes(3, { ...calm, air: 29, screw: 20.6 })
    expect(run.state().verdict).not.toBe('fit')
    let waiting: Reason | undefined
    for (let i = 0; i < 240 && !waiting; i++) {
      run.minutes(1, calm)
      waiting = run.state().reasons.find(r => r.kind === 'waiting')
    }
    const { since, until } = waiting as Extract<Reason, { kind: 'waiting' }>
    expect(until - since).toBe(5 * minute)
    run.minutes(4, calm)
    expect(run.state().verdict).toBe('settling')
    expect(run.state().ready!.latest - run.now()).toBe(minute)
    expect(run.state().ready!.latest).toBe(until)
  })

  it('uses a configured stand-in and shows a larger uncertainty', () => {
    const nodes = machine.nodes.map(n => (n.id === 'screw' ? { ...n, standIn: { node: 'air', uncertainty: 0.8 } } : n))
    const with_ = running(shopWith({ ...machine, nodes }))
    with_.minutes(70, calm)
    const before = with_.state().axes[0]!.uncertainty
    const { screw: _, ...silent } = calm
    with_.minutes(4, silent)
    expect(with_.state().verdict).not.toBe('unknown')
    expect(with_.state().axes[0]!.uncertainty).toBeGreaterThan(before)
    expect(with_.state().reasons.some(r => r.kind === 'stand-in')).toBe(true)
  })

  it('lets a calibration that is overdue count more from the end of its day on, and says so beside the verdict', () => {
    const shop = shopWith(machine)
    const due = shop.sensors.map(s => (s.id === 'screw' ? { ...s, calibration: { due: '2026-01-12' } } : s))
    const overdue = running({ ...shop, sensors: due })
    const calibrationOf = () =>
      overdue.state().axes[0]!.budget.find(({ name }) => name.startsWith('sensor calibration'))!
    overdue.minutes(18 * 60 - 1, calm)
    const { standardUncertainty: before, name } = calibrationOf()
    const [verdict, uncertainty] = [overdue.state().verdict, overdue.state().axes[0]!.uncertainty]
    expect(name).toBe('sensor calibration')
    expect(overdue.state().reasons.filter(r => r.kind === 'calibration')).toEqual([])
    overdue.minutes(2, calm)
    expect(calibrationOf().name).toBe('sensor calibration, overdue')
    expect(calibrationOf().standardUncertainty / before).toBeCloseTo(2 + 1 / 365, 6)
    expect(overdue.state().axes[0]!.uncertainty).toBeGreaterThan(uncertainty)
    expect(overdue.monitor.sensors().find(s => s.sensor === 'screw')!.trust).toBe('ok')
    expect(overdue.state().verdict).toBe(verdict)
    const said = sayReason(overdue.state().reasons.find(r => r.kind === 'calibration')!, reader(overdue.now()))
    expect(said.text).toBe('Calibration overdue: screw (1 d); its uncertainty counts 2.0 times')
    expect(said.more).toMatch(/^Have it calibrated/)
  })

  it('measures drift since a datum', () => {
    run.minutes(70, calm)
    const datum = run.monitor.datumNow('mill')
    run.monitor.setDatum({ ...datum, id: 1, by: 'test', note: '' })
    run.minutes(120, { ...calm, screw: 21.3 })
    const [x] = run.monitor.machine('mill')!.growth
    expect(x!.sinceDatum! * 1e6).toBeCloseTo(0.25 * 11.5, 0)
    expect(run.monitor.machine('mill')!.datum!.by).toBe('test')
  })

  it('refuses a datum while a needed node is unknown', () => {
    run.minutes(3, calm)
    expect(() => run.monitor.datumNow('mill')).toThrow(/no datum can be set for Mill: /)
  })

  it('ignores readings older than what it knows', () => {
    run.minutes(70, calm)
    run.monitor.take([{ sensor: 'air', at: run.now() - 30 * minute, value: 35, receivedAt: run.now() }])
    run.monitor.advance(run.now() + 1000)
    expect(run.monitor.machine('mill')!.nodes[0]!.temperature).toBeCloseTo(20.2, 6)
  })

  it('computes growth and verdict with the factors it is given, and goes back without them', () => {
    run.minutes(70, { ...calm, screw: 24 })
    const growth = () => run.monitor.machine('mill')!.growth[0]!.atWork!
    const error = () => run.state().axes[0]!.sizeError
    const nominal = { growth: growth(), error: error() }
    const partOfIt = nominal.error - 0.12 * 11.5e-6 * (24 - 20)
    run.monitor.setFactors('mill', { screw: 2, 'X screw': 0.75 })
    run.minutes(1, { ...calm, screw: 24 })
    expect(growth() / nominal.growth).toBeCloseTo(0.75, 2)
    // the feature of 120 mm follows the screw at three quarters; the part is as it was
    expect(Math.abs(error() - partOfIt - 0.75 * 0.12 * 11.5e-6 * 4)).toBeLessThan(0.1e-6)
    run.monitor.setFactors('mill', {})
    run.minutes(1, { ...calm, screw: 24 })
    expect(growth() / nominal.growth).toBeCloseTo(1, 2)
    expect(() => run.monitor.setFactors('lathe', {})).toThrow(/no machine "lathe"/)
  })

  it('names a time where those found before a restart came true; none where they did not or none were, and says so', () => {
    const good = running(shopWith(machine), { fitBys: tenNamed(found => found - minute) })
    const poor = running(shopWith(machine), { fitBys: tenNamed(() => null) })
    for (const of of [run, good, poor]) {
      of.minutes(70, calm)
      of.minutes(12, i => ({ ...calm, contact: 1, air: 20.2 - Math.min(8, i * 2), screw: 20.3 - 0.12 * i }))
      of.minutes(10, i => ({ ...calm, air: Math.min(20.2, 12.2 + i * 2), screw: 18.9 - 0.02 * i }))
      expect(of.state().verdict).toBe('settling')
    }
    expect(run.state().ready).toBeNull()
    expect(run.state().reasons).toContainEqual({ kind: 'poor record', kept: 0, of: 0, isFirstDay: true })
    expect(good.state().ready!.latest).toBeGreaterThan(good.now())
    expect(good.state().ready!.earliest).toBeLessThanOrEqual(good.state().ready!.likely)
    expect(poor.state().ready).toBeNull()
    expect(poor.state().reasons).toContainEqual({ kind: 'poor record', kept: 0, of: 10 })
    expect(poor.state().fitByRecord).toEqual({ kept: 0, of: 10 })
  })

  it('takes up the verdict that stood before a restart', () => {
    const monitor = createMonitor({
      shop: shopWith(machine),
      lastVerdicts: [
        {
          machine: 'mill',
          workClass: 'close',
          at: start - minute,
          verdict: 'unknown',
          thermalErrorIndex: null,
          reason: null,
        },
      ],
    })
    monitor.advance(start)
    expect(monitor.machine('mill')!.classes[0]!.since).toBe(start - minute)
  })
})
