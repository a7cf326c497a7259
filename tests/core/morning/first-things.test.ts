import { describe, expect, it } from 'vitest'
import type { Morning } from '../../../core/morning/first-things.js'
import { firstThings, type MachineMorning, type Night, type Todo } from '../../../core/morning/index.js'
import { sensorEveryMinute } from '../machines.js'

const noon = Date.UTC(2026, 0, 14, 11)
const hour = 3_600_000

const machine = (id: string, latest: number | null, verdict: 'settling' | 'fit' = 'settling'): MachineMorning => ({
  machine: id,
  classes: [
    {
      workClass: 'bores',
      verdict,
      since: noon,
      ready: latest === null ? null : { earliest: noon, likely: noon, latest },
    },
  ],
  night: [],
  datum: null,
  warmUp: { kind: 'at rest', since: null, until: null },
  decision: null,
})
const night = (unusual: Night['unusual']): Night => ({
  from: noon - 12 * hour,
  to: noon,
  airs: [],
  machines: [],
  sources: [],
  setback: null,
  failed: [],
  unusual,
})
const heating = (back: number | null) => ({ kind: 'heating' as const, back, usual: noon - hour, air: 18, usualAir: 20 })
const sensor = (id: string, kind: Morning['sensors'][number]['kind'], since = noon) => ({
  sensor: id,
  kind,
  since,
  until: null,
})
const due = (id: string, day: string) => ({
  ...sensorEveryMinute(id, { kind: 'shop air' }),
  calibration: { due: day },
})
const screw = sensorEveryMinute('screw', { kind: 'node', machine: 'mill-1', node: 'x-screw' })
const nothing: Morning = { machines: [], sensors: [], night: null, warmUps: [], shop: { sensors: [] } }
const zeroLine = (jobs: number): Todo => ({
  by: noon,
  about: {
    kind: 'remedy',
    machine: `mill-${jobs}`,
    remedy: { kind: 'move', machine: 'mill-3', name: 'Mill 3' },
    reason: null,
  },
  jobs: Array.from({ length: jobs }, (_, job) => ({ job, before: 'not today', after: 'go', start: noon })),
})
const kinds = (todos: Todo[]) => todos.map(({ about }) => about.kind)

describe('what to do first', () => {
  it('is nothing where there is nothing to do', () => {
    expect(firstThings([], nothing)).toEqual([])
    expect(firstThings([], { ...nothing, machines: [machine('mill-1', null, 'fit')], night: night([]) })).toEqual([])
  })

  it('puts what helps jobs first, and keeps their order', () => {
    const jobs = [zeroLine(3), zeroLine(1)]
    const all = firstThings(jobs, {
      ...nothing,
      machines: [machine('mill-1', noon + hour), machine('mill-2', noon + 2 * hour), machine('mill-4', null, 'fit')],
      night: night([heating(null)]),
    })
    expect(all.slice(0, 2)).toEqual(jobs)
    expect(kinds(all)).toEqual(['remedy', 'remedy', 'heating late', 'no levelling'])
    // the machine that settles longest, until then
    expect(all[3]).toMatchObject({ by: noon + 2 * hour, about: { machine: 'mill-2', until: noon + 2 * hour } })
    expect(firstThings([], { ...nothing, machines: [machine('a', noon), machine('b', null)] })[0]).toMatchObject({
      by: null,
      about: { machine: 'b', until: null },
    })
  })

  it('is five lines at most, and the least important fall off', () => {
    const morning: Morning = {
      ...nothing,
      shop: { sensors: [screw, due('hall', '2026-01-02'), due('yard', '2025-11-30')] },
      machines: [machine('mill-1', noon + hour)],
      night: night([heating(noon - 5 * 60_000)]),
      sensors: [
        sensor('screw', 'suspect'),
        sensor('hall', 'overdue', noon - 9 * hour),
        sensor('yard', 'overdue', noon - 99 * hour),
        sensor('hall', 'late'),
        sensor('hall', 'gap'),
      ],
    }
    const all = firstThings([], morning)
    expect(kinds(all)).toEqual(['sensor', 'no levelling', 'heating late', 'calibration'])
    expect(all[3]!.about).toEqual({ kind: 'calibration', sensor: 'yard', due: '2025-11-30' })
    // a gateway that fails does not hide the rest
    const silent = Array.from({ length: 20 }, () => sensor('hall', 'lost'))
    expect(kinds(firstThings([], { ...morning, sensors: silent }))).toEqual([
      'sensor',
      'sensor',
      'sensor',
      'no levelling',
      'heating late',
    ])
    expect(kinds(firstThings([zeroLine(2), zeroLine(1)], morning))).toEqual([
      'remedy',
      'remedy',
      'sensor',
      'no levelling',
      'heating late',
    ])
  })

  it('asks for a sensor once, and calls heating that came early no trouble', () => {
    const asked: Todo = {
      by: null,
      about: {
        kind: 'remedy',
        machine: 'mill-1',
        remedy: {
          kind: 'sensor',
          missing: { kind: 'missing', node: 'x-screw', name: 'X screw', why: { kind: 'no sensor' } },
          others: 0,
        },
        reason: null,
      },
      jobs: [{ job: 1, before: 'cannot tell', after: 'wait', start: null }],
    }
    const morning = { ...nothing, shop: { sensors: [screw] }, sensors: [sensor('screw', 'suspect')] }
    expect(firstThings([asked], morning)).toEqual([asked])
    expect(kinds(firstThings([], morning))).toEqual(['sensor'])
    expect(firstThings([], { ...nothing, night: night([heating(noon - 3 * hour)]) })).toEqual([])
  })

  it('has a line for the next spindle that is to be warmed up, however many jobs could be helped', () => {
    const warmUp = (job: number): Todo => ({
      by: noon + job * hour,
      about: { kind: 'spindle warm-up', machine: 'mill-1', list: 3, job, duration: 1440, speed: 100 },
      jobs: [],
    })
    const warmUps = [1, 2, 3].map(warmUp)
    expect(firstThings([], { ...nothing, warmUps })).toEqual(warmUps.slice(0, 2))
    const jobs = [5, 4, 3, 2, 1].map(zeroLine)
    expect(firstThings(jobs, { ...nothing, warmUps })).toEqual([...jobs.slice(0, 4), warmUps[0]])
  })
})
