import { describe, expect, it } from 'vitest'
import type { Sensor } from '../../../core/shop.js'
import { ordinarySpindle, spindleGrowth } from '../../../simulators/spindle.js'
import { testOf } from '../../core/spindle/spindle-tests.js'
import { appFor, everyMinute, local, now, shop } from './fakes.js'

const atTheMachine = async () => {
  const { app } = await appFor()
  const url = '/api/machines/mill/spindle'
  const get = async (query = '') => app.inject({ url: url + query, headers: local })
  const post = (payload: object, path = '') => app.inject({ method: 'POST', url: url + path, headers: local, payload })
  return { get, post }
}

/** a test as somebody would send it */
const sent = (friction: number, seed: number, time: string) => {
  const { steps, readings } = testOf({ ...ordinarySpindle, friction }, seed)
  return {
    by: 'Ada',
    time,
    toolLength: '120 mm',
    indicatorHeight: '150 mm',
    resolution: '1 µm',
    steps: steps.map(({ speed, duration }) => ({ speed: `${speed * 60} 1/min`, duration: `${duration / 60} min` })),
    readings: readings.map(({ at, growth }) => ({ at: `${at} s`, growth: `${growth * 1e6} µm` })),
  }
}

describe('growth tests of a spindle', () => {
  it('are kept, fitted and compared: a spindle that grows more than before is said to', async () => {
    const { get, post } = await atTheMachine()
    expect((await get()).json()).toEqual({ tests: [], shown: null })
    expect((await post(sent(130, 1, '2026-01-14 06:00'))).statusCode).toBe(201)
    expect((await post(sent(130, 2, '2026-02-14 06:00'))).statusCode).toBe(201)
    const before = (await get()).json()
    expect(before.shown.fit.fits).toBe(true)
    expect(before.shown.warnings.map(({ kind }: { kind: string }) => kind)).not.toContain('changed')
    const added = (await post(sent(180, 3, '2026-03-01 06:00'))).json()
    const { tests, shown } = (await get()).json()
    expect(tests).toHaveLength(3)
    expect(tests[0]).toMatchObject({ id: added.id, readings: 78, toolLength: 0.12 })
    expect(shown.test.id).toBe(added.id)
    expect(shown.warnings).toContainEqual(expect.objectContaining({ kind: 'changed', since: tests[1].at, speed: 200 }))
    expect(shown.fit.steady.at(-1)).toMatchObject({ speed: 200, settled: false })
    expect(shown.fit.readings).toHaveLength(78)
    const growths = shown.fit.bySpeed.map(({ growth }: { growth: number }) => growth)
    expect(growths).toEqual([...growths].sort((a, b) => a - b))
    // what is taken back no longer counts, and another can be looked at
    expect((await post({ by: 'Ada', note: 'chip under the indicator' }, `/${added.id}/take-back`)).json()).toEqual({
      left: 2,
    })
    expect((await get()).json().shown.test.id).toBe(tests[1].id)
    expect((await get(`?test=${tests[2].id}`)).json().shown.test.id).toBe(tests[2].id)
    expect((await get(`?test=${added.id}`)).statusCode).toBe(404)
    expect((await post({ by: 'Ada' }, `/${added.id}/take-back`)).statusCode).toBe(404)
  })

  it('go out as the table that can be sent again', async () => {
    const { get, post } = await atTheMachine()
    await post(sent(130, 1, '2026-01-14 06:00'))
    const table = (await get('?format=csv')).body
    const again = await post({ by: 'Ada', time: '2026-01-15 06:00', csv: table })
    expect(again.statusCode).toBe(201)
    const { steps, readings } = testOf(ordinarySpindle, 1)
    expect(again.json().test.steps).toEqual(steps)
    expect(again.json().test.readings.map(({ at }: { at: number }) => at)).toEqual(readings.map(({ at }) => at))
  })

  it('come as a table with dates too, and with an indicator that reads lower when the spindle grows', async () => {
    const { post } = await atTheMachine()
    const rows = [
      'time;speed (1/min);growth (µm)',
      '2026-01-14 06:00;6000;0',
      '2026-01-14 06:05;;-5',
      '2026-01-14 06:10;6000;-8',
      '2026-01-14 06:30;0;-12',
      '2026-01-14 06:40;;-7',
    ]
    const reply = await post({ by: 'Ada', sense: 'longer reads lower', csv: rows.join('\n') })
    expect(reply.statusCode).toBe(201)
    expect(reply.json()).toMatchObject({ at: Date.UTC(2026, 0, 14, 5), run: null })
    expect(reply.json().test).toMatchObject({
      steps: [
        { speed: 100, duration: 1800 },
        { speed: 0, duration: 600 },
      ],
      readings: [
        { at: 0, growth: 0 },
        { at: 300, growth: 5e-6 },
        { at: 600, growth: 8e-6 },
        { at: 1800, growth: 12e-6 },
        { at: 2400, growth: 7e-6 },
      ],
    })
  })

  it.each([
    ['time,speed,growth\n0 min,6000,0 µm', /line 2: column.*speed.*no unit/],
    ['time,speed,growth\n0 min,6000 rpm,0', /line 2: column.*growth.*no unit/],
    ['time,speed,growth\n5 min,6000 rpm,0 µm\n4 min,,1 µm', /line 3.*comes before the row above/],
    ['time,speed,growth\n0 min,,1 µm', /no speed is given yet/],
    ['time,speed,growth\n0 min,6000 rpm,9 mm', /more than 5 mm/],
    ['time,growth\n0 min,9 µm', /no heading \\"speed\\"/],
  ])('are refused with the row, the column and a remedy: %j', async (csv, words) => {
    const { post, get } = await atTheMachine()
    const reply = await post({ by: 'Ada', time: '2026-01-14 06:00', csv })
    expect(reply.statusCode).toBe(400)
    expect(JSON.stringify(reply.json())).toMatch(words)
    expect((await get()).json().tests).toEqual([])
  })

  it('are refused when they lie ahead, say nothing, or cannot be', async () => {
    const { post } = await atTheMachine()
    const good = sent(130, 1, '2026-01-14 06:00')
    for (const wrong of [
      { ...good, time: new Date(now + 3_600_000).toISOString() },
      { ...good, time: undefined },
      { ...good, readings: [{ at: '900 h', growth: '1 µm' }] },
      { by: 'Ada', time: good.time },
    ]) {
      const reply = await post(wrong)
      expect(reply.statusCode).toBe(400)
      expect(reply.json().error.remedy).toMatch(/./)
    }
  })

  it('move the axis in its growth over time, by the speed that was told, from when the test was on record', async () => {
    const speed: Sensor = { ...shop.sensors[0]!, id: 'speed', unit: '1/min', at: { kind: 'spindle', machine: 'mill' } }
    const { app, store, monitor } = await appFor({}, { shop: { ...shop, sensors: [...shop.sensors, speed] } })
    const hour = 3_600_000
    for (const id of ['s-air', 's-screw', 's-column'])
      store.kept.set(
        id,
        everyMinute(now - 30 * hour, now, () => 20),
      )
    // at rest, then two hours at 6000 1/min, then nothing is heard of it
    store.kept.set(
      'speed',
      everyMinute(now - 30 * hour, now - 2 * hour, at => (at < now - 4 * hour ? 0 : 100)),
    )
    const growthAt = async () => {
      const url = `/api/machines/mill/growth?from=${now - 5 * hour}&to=${now}&points=300`
      const { axes } = (await app.inject({ url, headers: local })).json()
      const points: { at: number; atWork: number; uncertainty: number }[] = axes[0].points
      return (after: number) => points.find(({ at }) => at >= now + after * hour)!
    }
    const untested = await growthAt()
    Object.assign(monitor, { now: now - 29 * hour })
    const url = '/api/machines/mill/spindle'
    await app.inject({ method: 'POST', url, headers: local, payload: sent(130, 1, '2026-02-20 06:00') })
    Object.assign(monitor, { now })
    const tested = await growthAt()
    const [truth] = spindleGrowth(ordinarySpindle, [{ speed: 100, duration: 7200 }], [7000])
    const added = (at: number) => tested(at).atWork - untested(at).atWork
    // a longer spindle reads as shorter on the axis, where the shop file says nothing
    expect(added(-2 - 200 / 3600) / -truth!).toBeGreaterThan(0.95)
    expect(added(-2 - 200 / 3600) / -truth!).toBeLessThan(1.05)
    expect(Math.abs(added(-4.5))).toBeLessThan(0.2e-6)
    expect(added(-0.5)).toBe(0)
    expect(tested(-2.1).uncertainty).toBeGreaterThan(untested(-2.1).uncertainty)
    // as live: nothing is said of it while its speed is not believed, and what it did meanwhile counts on
    const lost = { sensor: 'speed', since: now - 3 * hour, basis: null }
    await store.facts.record('trust', [
      { ...lost, at: now - 3 * hour, trust: 'lost', fault: { kind: 'gone', why: 'its network says so' } },
      { ...lost, at: now - 2.5 * hour, trust: 'ok', fault: null },
    ])
    const doubted = await growthAt()
    expect(doubted(-2.75).atWork).toBe(untested(-2.75).atWork)
    expect(doubted(-2.1).atWork).toBe(tested(-2.1).atWork)
  })
})
