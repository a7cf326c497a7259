import { join } from 'node:path'
import type { FastifyInstance } from 'fastify'
import { onTestFinished } from 'vitest'
import type { PlannedAir } from '../../../core/judge/index.js'
import type { Machine, Material, Sensor, Shop } from '../../../core/shop.js'
import type { Datum, Forecast, MachineState, SensorState, ShopState } from '../../../core/state.js'
import { createActions } from '../../../server/actions/index.js'
import { createApp } from '../../../server/http/app.js'
import type { LiveLimits } from '../../../server/http/live.js'
import type { AppParts, HttpSettings } from '../../../server/http/parts.js'
import type { Reading } from '../../../server/ingest/reading.js'
import type { Monitor, MonitorChange } from '../../../server/monitor/monitor.js'
import type { Series, Store } from '../../../server/store/store.js'
import { createJobAnswers } from '../../../server/studies/morning/job-answers.js'
import { keepByQuarter } from '../../../server/studies/morning/kept.js'
import { nightStudy } from '../../../server/studies/morning/night.js'
import { knownSpindleOf } from '../../../server/studies/spindle/spindle-tests.js'
import { temporaryFolder } from '../../temporary-folder.js'
import { factsInMemory } from '../store/facts-in-memory.js'
import { storeInMemory } from '../store/store-in-memory.js'

/** Monday 2 March 2026, 08:00 UTC */
export const now = Date.UTC(2026, 2, 2, 8)

const steel: Material = { name: 'steel', alpha: 11.5e-6, alphaUncertainty: 0.05 }

/** an invented mill with two nodes in its loop and one, the air, outside it */
export const mill: Machine = {
  id: 'mill',
  name: 'Mill',
  description: 'invented',
  place: 'hall',
  nodes: [
    { id: 'air', name: 'air', kind: 'air', placementUncertainty: 0.2, required: true },
    { id: 'x-screw', name: 'X screw', kind: 'body', follows: 'air', placementUncertainty: 0.2, required: true },
    { id: 'column', name: 'column', kind: 'body', follows: 'air', placementUncertainty: 0.2, required: true },
  ],
  axes: [
    {
      id: 'X',
      travel: 0.8,
      workAt: 0.4,
      measuring: {
        kind: 'screw',
        material: steel,
        nodes: { 'x-screw': 1 },
        fixedAt: 0,
        mounting: { kind: 'one end fixed' },
      },
    },
  ],
  structure: [
    {
      kind: 'bar',
      id: 'column',
      name: 'column',
      axis: 'X',
      sign: 1,
      length: 0.5,
      material: steel,
      nodes: { column: 1 },
    },
  ],
  workpiece: { node: 'air', uncertainty: 0.3, timeConstant: 1200 },
  exposedTo: ['door'],
}

const sensor = (id: string, at: Sensor['at'], more: Partial<Sensor> = {}): Sensor => ({
  id,
  name: `Sensor ${id}`,
  topic: `t/${id}`,
  payload: { kind: 'number' },
  unit: '°C',
  interval: 60,
  uncertainty: 0.1,
  offset: 0,
  at,
  ...more,
})

export const shop: Shop = {
  name: 'Invented shop',
  timeZone: 'Europe/Vienna',
  referenceTemperature: 20,
  invented: true,
  machines: [mill],
  sensors: [
    sensor('s-air', { kind: 'node', machine: 'mill', node: 'air' }),
    sensor('s-screw', { kind: 'node', machine: 'mill', node: 'x-screw' }, { offset: 0.5 }),
    sensor('s-column', { kind: 'node', machine: 'mill', node: 'column' }),
    sensor('s-door', { kind: 'source', source: 'door' }, { unit: 'state' }),
  ],
  sources: [{ id: 'door', name: '=Door', kind: 'door' }],
  workClasses: [
    {
      id: 'bores',
      name: 'Bores',
      tolerance: 20e-6,
      featureLength: 0.1,
      material: steel,
      duration: 1800,
      share: 0.3,
      zeroedAt: 'job start',
    },
  ],
}

export const machineState = (at: number, note = ''): MachineState => ({
  machine: 'mill',
  at,
  classes: [
    {
      workClass: 'bores',
      verdict: 'settling',
      since: at - 60_000,
      thermalErrorIndex: 42.5,
      counted: 42.5,
      ready: { earliest: at + 1e6, likely: at + 2e6, latest: at + 3e6 },
      reasons: [{ kind: 'pretension', axis: `X${note}`, excess: 1.2 }],
      remedy: { kind: 'move', machine: 'mill-2', name: 'Mill 2' },
      fitByRecord: { kept: 27, of: 30 },
      axes: [
        {
          axis: 'X',
          sizeError: 4e-6,
          drift: 1e-6,
          error: 4e-6,
          range: { low: 3e-6, high: 5e-6 },
          uncertainty: 2e-6,
          errorInHour: 2e-6,
          rangeInHour: { low: 1e-6, high: 3e-6 },
          budget: [{ name: 'sensor', standardUncertainty: 1e-6 }],
          parts: [{ name: 'X screw', node: 'x-screw', amount: 4e-6 }],
        },
      ],
    },
  ],
  nodes: [
    {
      node: 'air',
      temperature: 21,
      rate: 0.1,
      steadyExcess: null,
      timeConstant: null,
      timeConstantUncertainty: null,
      at,
      trust: 'ok',
      standIn: false,
    },
  ],
  growth: [{ axis: 'X', atZero: 0, atWork: 4e-6, atTravel: 8e-6, sinceDatum: null, rate: 1e-10 }],
  datum: null,
})

export class FakeMonitor implements Monitor {
  now = now
  state: ShopState = {
    at: now,
    air: 21,
    airRate: 0.1,
    outdoors: 4,
    sources: [{ source: 'door', active: false, since: null, temperature: null }],
    common: [],
    newestReading: now - 5000,
    broker: 'connected',
    unstored: null,
    troubles: [],
    filling: null,
  }
  machineNow = machineState(now)
  sensorsNow: SensorState[] = shop.sensors.map(s => ({
    sensor: s.id,
    value: s.unit === 'state' ? 0 : 21,
    at: now - 5000,
    trust: 'ok',
    fault: null,
    since: now - 60_000,
  }))
  missing = ''
  datum: Datum | null = null
  listeners = new Set<(change: MonitorChange) => void>()

  take() {}
  takeConditions() {}
  advance(to: number) {
    this.now = to
  }
  *advancing(to: number): Generator<void, void> {
    yield
    this.advance(to)
  }
  shop() {
    return this.state
  }
  machines() {
    return [this.machineNow]
  }
  machine(id: string) {
    return id === 'mill' ? this.machineNow : undefined
  }
  sensors() {
    return this.sensorsNow
  }
  circumstances(): ReturnType<Monitor['circumstances']> {
    return {
      outlook: null,
      unknowns: [],
      standIns: [],
      disturbance: null,
      open: null,
      airChange: () => 0,
      overdue: new Map(),
      datumAt: null,
      stateBefore: () => ({ nodes: new Float64Array(), part: Number.NaN }),
    }
  }
  *forecasting(
    machine: string,
    plan: readonly PlannedAir[],
    length: number,
    points: number,
  ): Generator<void, Forecast> {
    yield
    const times = Array.from({ length: points }, (_, i) => this.now + (i * length * 1000) / (points - 1))
    const band = (value: number) => ({ mean: times.map(() => value), standardUncertainty: times.map(() => 0.1) })
    return {
      machine,
      at: this.now,
      times,
      nodes: [{ node: 'air', ...band(plan[0]?.temperature ?? 20) }],
      axes: [{ axis: 'X', ...band(1e-6) }],
      classes: [],
    }
  }
  datumNow(machine: string) {
    if (this.missing) throw new Error(`node ${this.missing} is unknown`)
    return { machine, at: this.now, temperatures: { air: 21, 'x-screw': 22, column: 20.5 } }
  }
  setDatum(datum: Datum) {
    this.datum = datum
  }
  factors: Readonly<Record<string, number>> = {}
  setFactors(_machine: string, factors: Readonly<Record<string, number>>) {
    this.factors = factors
  }
  offsets: Record<string, number> = {}
  setOffset(sensor: string, offset: number) {
    this.offsets[sensor] = offset
  }
  setSettling() {}
  setSpindle() {}
  suspects() {
    return []
  }
  setGone() {}
  setBroker(broker: 'connected' | 'away') {
    this.state = { ...this.state, broker }
  }
  setUnstored(unstored: string | null) {
    this.state = { ...this.state, unstored }
  }
  setShopProblem() {}
  setTrouble(_what: string, why: string | null) {
    this.state = { ...this.state, troubles: why === null ? [] : [why] }
  }
  setFilling(filling: number | null) {
    this.state = { ...this.state, filling }
  }
  onChange(listener: (change: MonitorChange) => void) {
    this.listeners.add(listener)
    return () => this.listeners.delete(listener)
  }
  tell(change: Partial<MonitorChange>) {
    for (const listener of this.listeners)
      listener({ machines: [], sensors: [], shop: null, verdicts: [], fitBys: [], trust: [], ...change })
  }
}

export class FakeStore implements Store {
  kept = new Map<string, Series>()
  asked: { sensor: string; from: number; to: number; points: number }[] = []
  facts = factsInMemory()
  inspections = storeInMemory().inspections

  append() {
    return []
  }
  appendImported() {
    return []
  }
  noted() {
    return null
  }
  takeBackSome() {
    return false
  }
  latest() {
    return []
  }
  readings(): readonly Reading[][] {
    return []
  }
  series(id: string, from: number, to: number, points: number): Series {
    this.asked.push({ sensor: id, from, to, points })
    const series = this.kept.get(id) ?? { level: 'reading', points: [] }
    return { level: series.level, points: series.points.filter(p => from <= p.at && p.at < to) }
  }
  recordRefusals() {}
  refusals() {
    return {
      counts: [{ reason: 'not a number', count: 3 }],
      samples: [{ at: now, topic: 't/s-air', reason: 'not a number', sample: '{"a":"b, c"}' }],
    }
  }
  close() {}
}

/** readings every `every` ms over a span */
export const everyMinute = (from: number, to: number, value: (at: number) => number, every = 60_000): Series => {
  const points: Series['points'] = []
  for (let at = from; at < to; at += every)
    points.push({ at, count: 1, mean: value(at), min: value(at), max: value(at) })
  return { level: 'reading', points }
}

interface Fixture {
  app: FastifyInstance
  monitor: FakeMonitor
  store: FakeStore
}

/** the app on a fake monitor and a fake store; closed when the test ends */
export const appFor = async (
  settings: Partial<HttpSettings> = {},
  more: Partial<AppParts> = {},
  limits?: LiveLimits,
): Promise<Fixture> => {
  const monitor = new FakeMonitor()
  const store = new FakeStore()
  const app = await createApp(
    {
      shop,
      monitor,
      store,
      ingestStats: () => ({ received: 12, refused: 3 }),
      ingestWaiting: () => 0,
      unassigned: () => ({ topics: [], count: 0, beyond: 0 }),
      keptSince: () => 0,
      uploads: join(temporaryFolder(), 'uploads'),
      storeNotes: () => ({ damaged: [], unclaimed: { sensors: [], machines: [], workClasses: [] } }),
      storeBytes: () => 4096,
      actions: createActions({
        shop: () => shop,
        store: more.store ?? store,
        monitor,
        knownSpindle: machine => knownSpindleOf(more.store ?? store, machine),
        fileSensors: () => shop.sensors,
        clock: () => monitor.now,
      }),
      jobAnswers: createJobAnswers({ shop: more.shop ?? shop, store, monitor, clock: () => monitor.now }),
      night: { now: async () => null },
      heating: { now: async () => null },
      settings: { host: '127.0.0.1', token: null, pages: '/nowhere', ...settings },
      clock: () => monitor.now,
      version: '0.0.0-test',
      ...more,
    },
    limits,
  )
  onTestFinished(() => app.close())
  return { app, monitor, store }
}

/** The night as the service keeps it, at a moment (ms) that stays, until the test ends. */
export const nightKept = (of: Parameters<typeof nightStudy>[0], moment: number) => {
  const night = keepByQuarter(
    () => nightStudy(of, moment),
    () => moment,
    () => true,
    error => {
      throw error
    },
  )
  onTestFinished(() => night.stop())
  return night
}

/** what a request by inject names as its host when the app is on loopback */
export const local = { host: '127.0.0.1:7420' }
