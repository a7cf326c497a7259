import { describe, expect, it } from 'vitest'
import type { ClassState, Forecast, MachineState, TrustChange, Verdict } from '../../core/state.js'
import { createSimulatedShop, demoPlant } from '../../simulators/index.js'
import { demoShop } from '../demo-shop.js'
import { isMet } from './bars.js'
import { Columns } from './columns.js'
import { NaiveRules } from './naive-rules.js'
import { NamedTimes } from './named-times.js'
import { intervalScore, NodeForecasts } from './node-forecasts.js'
import { Suspects } from './suspects.js'
import { whatCameBars } from './what-came-table.js'

const minute = 60_000
const hour = 60 * minute
const machine = 'mill-1'
const shop = demoShop()
const nodes = shop.machines.find(({ id }) => id === machine)!.nodes

const classState = (verdict: Verdict, more: Partial<ClassState> = {}): ClassState => ({
  workClass: shop.workClasses[0]!.id,
  verdict,
  since: 0,
  thermalErrorIndex: 10,
  counted: 10,
  ready: null,
  reasons: [],
  remedy: null,
  fitByRecord: null,
  axes: [],
  ...more,
})
const stateOf = (at: number, temperature: number, classes: ClassState[] = []): MachineState => ({
  machine,
  at,
  classes,
  growth: [],
  datum: null,
  nodes: nodes.map(({ id }) => ({
    node: id,
    temperature,
    rate: 0,
    steadyExcess: 0,
    timeConstant: 3600,
    timeConstantUncertainty: 0.1,
    at,
    trust: 'ok',
    standIn: false,
  })),
})

describe('columns', () => {
  /** a shop said to be fit all the time, whose held error is 0; what comes is the simulator's */
  const examined = (verdict: Verdict) => {
    const from = Date.UTC(2026, 0, 12, 6)
    const simulated = createSimulatedShop(demoPlant, { seed: 3, start: from })
    const one = {
      ...shop,
      machines: shop.machines.filter(({ id }) => id === machine),
      workClasses: [shop.workClasses[0]!],
    }
    const columns = new Columns(one, simulated)
    for (let now = from; now <= from + 6 * hour; now += minute) {
      if (now > from) simulated.advance(now, () => {}, 3600)
      const state = stateOf(now, 20, [classState(verdict)])
      const truth = simulated.truth().machines[machine]!
      columns.watchJobs([state], now, () => truth)
      if ((now - from) % (5 * minute) === 0) columns.take(state, now, truth, truth, [[0]])
    }
    return columns.record
  }

  it('differ in the drift alone: what was within the share if conditions held comes out over it by what came, and by a job', () => {
    const { service, begun, wentOver } = examined('fit')
    // the last job's length is not over yet
    const counted = 6 * 12 + 1 - shop.workClasses[0]!.duration / 300
    expect(service.held).toMatchObject({ samples: counted, fit: counted, falselyFit: 0, falselyUnfit: 0 })
    expect(service.came.samples).toBe(counted)
    expect(service.job.falselyFit).toBeGreaterThan(0)
    expect(service.came.falselyFit).not.toBe(service.job.falselyFit)
    expect(begun).toBeGreaterThan(1)
    expect(wentOver).toBeLessThanOrEqual(begun)
  })

  it('count what was not fit and could have been, in working hours apart; unknown is neither', () => {
    const { service, begun } = examined('unfit')
    expect(service.held).toMatchObject({ fit: 0, falselyFit: 0, falselyUnfit: service.held.samples })
    expect(service.held.workingFalselyUnfit).toBe(service.held.working)
    expect(service.held.working).toBeGreaterThan(0)
    expect(begun).toBe(0)
    const unknown = examined('unknown').service
    expect(unknown.held).toMatchObject({ falselyFit: 0, falselyUnfit: 0 })
  })
})

it('what could not be had meets no bar', () => {
  const bars = whatCameBars([])
  expect(bars.map(({ name }) => name)).toContain('temperature in 4 h, coverage of the 90 % band')
  expect(bars.filter(isMet)).toEqual([])
})

describe('naive rules', () => {
  const said = (temperatures: number[]) => {
    const rules = new NaiveRules(shop)
    for (const [i, t] of temperatures.entries()) rules.note(stateOf(i * 5 * minute, t))
    return rules.says(machine)
  }
  it('want air near 20 °C, and nothing that moves', () => {
    expect(said([20.4, 20.5])).toEqual({ 'air 20 ± 1 °C and still': 'fit', 'bodies still': 'fit' })
    expect(said([23, 23])).toEqual({ 'air 20 ± 1 °C and still': 'not fit', 'bodies still': 'fit' })
    expect(said([20, 20.4])).toEqual({ 'air 20 ± 1 °C and still': 'fit', 'bodies still': 'not fit' })
    expect(said([20])).toEqual({ 'air 20 ± 1 °C and still': 'unknown', 'bodies still': 'unknown' })
    // what moved more than an hour ago is forgotten
    expect(said([25, ...Array<number>(14).fill(20)])['bodies still']).toBe('fit')
  })
})

describe('forecasts of nodes', () => {
  it('are scored as Gneiting and Raftery have it: the width, and twenty times what lies outside', () => {
    expect(intervalScore(1, 3, 2)).toBe(2)
    expect(intervalScore(1, 3, 0.5)).toBeCloseTo(12, 12)
    expect(intervalScore(1, 3, 3.1)).toBeCloseTo(4, 12)
  })

  it('are held against what came, beside "it stays as it is" with the quantiles of the last days', () => {
    const from = Date.UTC(2026, 0, 12)
    const simulated = createSimulatedShop(demoPlant, { seed: 3, start: from })
    const forecasts = new NodeForecasts(shop, simulated)
    // a node that warms by 0.1 K an hour: a forecast that knows it, half a kelvin wide
    const at = (now: number) => 18 + (0.1 * (now - from)) / hour
    const ask = (now: number) => (): Forecast => ({
      machine,
      at: now,
      times: Array.from({ length: 13 }, (_, k) => now + k * hour),
      nodes: nodes.map(({ id }) => ({
        node: id,
        mean: Array.from({ length: 13 }, (_, k) => at(now + k * hour)),
        standardUncertainty: new Array<number>(13).fill(0.5 / 2 / 1.6449),
      })),
      axes: [],
      classes: [],
    })
    for (let now = from; now <= from + 48 * hour; now += 15 * minute)
      forecasts.take([stateOf(now, at(now))], now, now % hour === 0 ? ask(now) : null)
    const [one, , twelve] = forecasts.record.air
    // a day of changes over an hour is known after 25 hours; the last forecast is of 47 h, for 48 h
    expect(one!.count).toBe(47 - 25 + 1)
    expect(Math.sqrt(one!.squares / one!.count)).toBeCloseTo(0, 9)
    expect(Math.sqrt(one!.persistenceSquares / one!.count)).toBeCloseTo(0.1, 9)
    expect(one!.covered).toBe(one!.count)
    expect(one!.score / one!.count).toBeCloseTo(0.5, 9)
    // every change was the same: a band without width, on the spot
    expect(one!.persistenceScore / one!.count).toBeCloseTo(0, 6)
    expect(Math.sqrt(twelve!.persistenceSquares / twelve!.count)).toBeCloseTo(1.2, 9)
  })
})

describe('ready times that were found', () => {
  const ready = { earliest: 10 * minute, likely: 20 * minute, latest: 60 * minute }
  const run = (verdictAt: (now: number) => Partial<ClassState> & { verdict: Verdict }, overUntil: number) => {
    const named = new NamedTimes()
    for (let now = 0; now <= 25 * hour; now += 5 * minute) {
      const { verdict, ...more } = verdictAt(now)
      named.take(
        stateOf(now, 20, [classState(verdict, more)]),
        now,
        () => now < overUntil,
        now === 0 ? () => ready : null,
      )
    }
    return named.record
  }
  it('came true when fit is shown by then; the truth is the first ten minutes within the share', () => {
    const fitFrom = (at: number) => (now: number) =>
      now < at ? { verdict: 'settling' as const, ready } : { verdict: 'fit' as const, since: at }
    expect(run(fitFrom(58 * minute), 25 * minute)).toEqual([
      { earliest: 10, likely: 20, latest: 60, came: 25, already: false, named: true, kept: true },
    ])
    expect(run(fitFrom(61 * minute), 25 * minute)[0]).toMatchObject({ kept: false, came: 25 })
    expect(run(fitFrom(48 * hour), 48 * hour)[0]).toMatchObject({ kept: false, came: null })
  })
  it('are judged also where none was named; what only counts down its waiting is not', () => {
    const silent = (now: number) => (now < 58 * minute ? { verdict: 'settling' as const } : { verdict: 'fit' as const })
    expect(run(silent, 25 * minute)).toEqual([
      { earliest: 10, likely: 20, latest: 60, came: 25, already: false, named: false, kept: false },
    ])
    const waiting = { kind: 'waiting' as const, since: 0, until: 10 * minute }
    expect(run(() => ({ verdict: 'settling', reasons: [waiting] }), 25 * minute)).toEqual([])
  })
})

describe('suspects', () => {
  const change = (sensor: string, at: number, trust: TrustChange['trust']): TrustChange => ({
    sensor,
    at,
    trust,
    since: at,
    fault: trust === 'ok' ? null : { kind: 'earning', goodSince: null, until: null },
    basis: null,
  })
  it('are false where nothing was broken; what was broken is found after so many minutes, or not', () => {
    const faults = [
      { sensor: 'a', kind: 'frozen' as const, from: 3600, to: 7200 },
      { sensor: 'b', kind: 'drift' as const, from: 3600, to: 7200 },
    ]
    const suspects = new Suspects(0, faults)
    suspects.take([
      change('a', hour + 20 * minute, 'suspect'),
      change('a', 3 * hour, 'ok'),
      change('c', 4 * hour, 'suspect'),
      change('c', 4.5 * hour, 'suspect'),
      change('c', 6 * hour, 'ok'),
    ])
    const record = suspects.record(60, 30)
    expect(record.sensorMonths).toBe(60)
    expect(record.falseSuspects).toEqual([{ sensor: 'c', at: 4 * hour, kind: 'earning', hours: 2 }])
    expect(record.faults).toEqual([
      { kind: 'frozen', foundAfter: 20 },
      { kind: 'drift', foundAfter: null },
    ])
  })
})
