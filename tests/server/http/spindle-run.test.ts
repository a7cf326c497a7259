import { describe, expect, it } from 'vitest'
import type { Sensor } from '../../../core/shop.js'
import type { RunEvent, SpindlePlan } from '../../../core/spindle/index.js'
import { ordinarySpindle, spindleGrowth } from '../../../simulators/spindle.js'
import { appFor, local, now, shop } from './fakes.js'

const minute = 60_000
const plan: SpindlePlan = {
  steps: [
    { speed: 100, duration: 3600 },
    { speed: 200, duration: 3600 },
    { speed: 0, duration: 3600 },
  ],
  readAt: [60, 300, 600, 1200],
  readWith: 'dial indicator',
  sign: 1,
  toolLength: 0.12,
  indicatorHeight: null,
  resolution: 1e-6,
  stop: null,
}
const step = (step: number, at: number): RunEvent => ({ kind: 'step', key: `s${step}`, at, step })
const reading = (key: string, at: number, value: number): RunEvent => ({ kind: 'reading', key, at, value })

const atTheMachine = async () => {
  const { app, monitor } = await appFor()
  const url = '/api/machines/mill/spindle'
  const post = async (path: string, payload: object) =>
    app.inject({ method: 'POST', url: `${url}/run${path}`, headers: local, payload })
  const get = async (path = '/run') => (await app.inject({ url: url + path, headers: local })).json()
  const begin = async () => (await post('', { by: 'Ada', plan })).json().run.id as number
  return { post, get, begin, setClock: (at: number) => Object.assign(monitor, { now: at }) }
}

describe('a guided growth test', () => {
  it('goes on where it was left, takes what is sent twice once, and becomes a test', async () => {
    const { post, get, begin, setClock } = await atTheMachine()
    expect(await get()).toMatchObject({ run: null, events: [], last: null })
    const id = await begin()
    expect((await get()).run).toMatchObject({ id, by: 'Ada', plan })
    const second = await post('', { by: 'Bo', plan })
    expect(second.statusCode).toBe(409)
    expect(second.json().error.what).toContain('by Ada')

    const readAt = [1, 2, 5, 10, 15, 20, 30, 40, 50, 60].map(each => each * minute)
    const times = [0, 60, 120].flatMap(after => readAt.map(at => after * minute + at))
    const growth = spindleGrowth(
      ordinarySpindle,
      plan.steps,
      times.map(at => at / 1000),
    )
    const readings = times.map((at, i) => reading(`r${i}`, now + at, Math.round(growth[i]! * 1e6) * 1e-6))
    const events = [step(0, now), step(1, now + 60 * minute), step(2, now + 120 * minute), ...readings]
    setClock(now + 180 * minute)
    // one was mistyped and is mended; the network was lost, so that some are sent a second time
    const wrong = { ...readings[4]!, value: 90e-6 } as RunEvent
    const correction: RunEvent = { kind: 'correction', key: 'c', at: now + 20 * minute, of: 'r4', value: growth[4]! }
    const first = events.map(event => (event === readings[4] ? wrong : event)).slice(0, 20)
    expect((await post(`/${id}/events`, { events: first })).statusCode).toBe(200)
    const all = await post(`/${id}/events`, { events: [...events.slice(10), correction] })
    expect(all.json().events).toHaveLength(events.length + 1)
    expect((await get()).events).toEqual(all.json().events)

    const test = (await post(`/${id}/finish`, { note: 'done' })).json()
    expect(test).toMatchObject({ run: id, by: 'Ada', note: 'done', at: now })
    expect((await post(`/${id}/finish`, {})).json().id).toBe(test.id)
    expect(await get()).toMatchObject({ run: null, last: { run: id, test: test.id } })
    expect((await post(`/${id}/events`, { events: [reading('late', now, 0)] })).statusCode).toBe(404)
    const { shown } = await get('')
    expect(shown.test.id).toBe(test.id)
    expect(shown.fit.readings).toHaveLength(30)
    const [slow, fast] = shown.fit.steady
    expect(fast.growth).toBeGreaterThan(slow.growth)
  })

  it('can be given up: nothing is made of it, and another can begin', async () => {
    const { post, get, begin } = await atTheMachine()
    const id = await begin()
    expect((await post(`/${id}/finish`, {})).statusCode).toBe(409)
    expect((await post(`/${id}/give-up`, { by: 'Ada', note: 'coolant on' })).json()).toMatchObject({
      run: null,
      last: { run: id, test: null },
    })
    expect((await post(`/${id}/give-up`, { by: 'Ada' })).statusCode).toBe(404)
    expect(await begin()).not.toBe(id)
    expect((await get('')).tests).toEqual([])
  })

  it('refuses what cannot be, and says what would be right', async () => {
    const { post, get, begin } = await atTheMachine()
    for (const wrong of [
      { ...plan, steps: [{ speed: 0, duration: 60 }] },
      { ...plan, readAt: [60, 60] },
      { ...plan, steps: [] },
    ])
      expect((await post('', { by: 'Ada', plan: wrong })).statusCode).toBe(400)
    const id = await begin()
    for (const wrong of [
      step(3, now),
      reading('a', now + 10 * minute, 0),
      reading('a', now - 10 * minute, 0),
      { kind: 'correction', key: 'c', at: now, of: 'nothing', value: 0 },
    ]) {
      const reply = await post(`/${id}/events`, { events: [step(0, now), wrong] })
      expect(reply.statusCode).toBe(400)
      expect(reply.json().error.remedy).toMatch(/./)
    }
    expect((await get()).events).toEqual([])
  })

  it('takes the readings of a probe that sends by itself, as means of half a minute, until it ends', async () => {
    const probe: Sensor = {
      ...shop.sensors[0]!,
      id: 'probe',
      name: 'Probe',
      topic: 't/probe',
      unit: 'µm',
      at: { kind: 'spindle', machine: 'mill' },
    }
    const { app, monitor, store } = await appFor({}, { shop: { ...shop, sensors: [...shop.sensors, probe] } })
    const url = '/api/machines/mill/spindle/run'
    const post = async (path: string, payload: object) =>
      (await app.inject({ method: 'POST', url: url + path, headers: local, payload })).json()
    const steps = plan.steps.map(each => ({ ...each, duration: 1800 }))
    const { run } = await post('', { by: 'Ada', plan: { ...plan, steps, readWith: 'displacement probe' } })
    const seconds = Array.from({ length: 540 }, (_, i) => 10 * (i + 1))
    const growth = spindleGrowth(ordinarySpindle, steps, seconds)
    store.kept.set('probe', {
      level: 'reading',
      points: seconds.map((after, i) => {
        const value = growth[i]!
        return { at: now + after * 1000, count: 1, mean: value, min: value, max: value }
      }),
    })
    Object.assign(monitor, { now: now + 90 * minute })
    const told = await post(`/${run.id}/events`, {
      events: [step(0, now), step(1, now + 30 * minute), step(2, now + 60 * minute)],
    })
    expect(told.probe).toBe('Probe')
    const readings = told.events.filter(({ kind }: RunEvent) => kind === 'reading')
    expect(readings.length).toBeGreaterThan(150)
    expect(readings.length).toBeLessThan(200)
    const { test } = await post(`/${run.id}/finish`, {})
    expect(test.readings).toHaveLength(readings.length)
    const last = test.readings.at(-1)
    expect(last.growth).toBeCloseTo(growth.at(-1)! - growth[0]!, 6)
    // one read with a dial indicator takes nothing from the probe
    const other = await post('', { by: 'Ada', plan })
    expect(other).toMatchObject({ probe: null, events: [] })
  })
})
