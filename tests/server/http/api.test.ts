import { describe, expect, it } from 'vitest'
import type { z } from 'zod'
import { shopSchema } from '../../../core/shop.js'
import { datum, sensorState } from '../../../core/state.js'
import { machinesAnswer, shownMachine, verdictsAnswer } from '../../../server/http/schemas/answers.js'
import { appFor, everyMinute, local, now, shop } from './fakes.js'

const get = async (app: Awaited<ReturnType<typeof appFor>>['app'], url: string) => {
  const reply = await app.inject({ url, headers: local })
  return {
    status: reply.statusCode,
    type: String(reply.headers['content-type']),
    text: reply.body,
    json: () => reply.json(),
  }
}

/** holds the schema and names nothing that the schema does not */
const expectExactly = (schema: z.ZodType, value: unknown) => expect(schema.parse(value)).toEqual(value)

describe('what the interface answers', () => {
  it('gives the shop, with the safety advice and whether writes need the token', async () => {
    const { app } = await appFor()
    const answer = (await get(app, '/api/shop')).json()
    expect(answer.shop).toEqual(shop)
    expectExactly(shopSchema, answer.shop)
    expect(answer).toMatchObject({ version: '0.0.0-test', writesNeedToken: false })
    expect(answer.advice).toMatch(/advises.*must not be wired/s)
  })

  it('gives every machine and one machine', async () => {
    const { app, monitor } = await appFor()
    const answer = (await get(app, '/api/machines')).json()
    expect(answer).toMatchObject({ at: now, machines: [monitor.machineNow] })
    expectExactly(machinesAnswer, answer)
    const one = (await get(app, '/api/machines/mill')).json()
    expect(one).toMatchObject(monitor.machineNow)
    expectExactly(shownMachine, one)
  })

  it('turns a number that is not finite into null instead of failing', async () => {
    const { app, monitor } = await appFor()
    monitor.machineNow.classes[0]!.thermalErrorIndex = Number.NaN
    const answer = await get(app, '/api/machines/mill')
    expect(answer.status).toBe(200)
    expect(answer.json().classes[0].thermalErrorIndex).toBeNull()
  })

  it('gives every sensor with its name and place', async () => {
    const { app, monitor } = await appFor()
    const { sensors } = (await get(app, '/api/sensors')).json()
    expect(sensors).toHaveLength(4)
    expect(sensors[1]).toEqual({
      ...monitor.sensorsNow[1],
      name: 'Sensor s-screw',
      place: 'Mill, X screw',
      reason: '',
      remedy: '',
    })
    expect(sensors[3].place).toBe('=Door')
    expectExactly(sensorState, monitor.sensorsNow[1])
  })

  it('gives battery and signal of those that tell, and nothing of the others', async () => {
    const { app, monitor } = await appFor()
    const tells = {
      battery: { value: 14, unit: '%', low: true, at: now - 5000 },
      signal: { value: -83, unit: 'dBm', at: now - 5000 },
    } as const
    Object.assign(monitor.sensorsNow[1]!, tells)
    const { sensors } = (await get(app, '/api/sensors')).json()
    expect(sensors[1]).toMatchObject(tells)
    expect(sensors[0]).not.toHaveProperty('battery')
    expectExactly(sensorState, monitor.sensorsNow[1])
    const lines = (await get(app, '/api/sensors?format=csv')).text.split('\r\n')
    expect(lines[0]).toMatch(/,battery,batteryUnit,batteryLow,signal,signalUnit$/)
    expect(lines[1]).toMatch(/,,,,,$/)
    expect(lines[2]).toMatch(/,14,%,low,-83,dBm$/)
  })

  it('applies the offset to temperatures and leaves states alone', async () => {
    const { app, store } = await appFor()
    store.kept.set(
      's-screw',
      everyMinute(now - 600_000, now, () => 21),
    )
    store.kept.set(
      's-door',
      everyMinute(now - 600_000, now, () => 1),
    )
    const { series } = (await get(app, `/api/series?sensors=s-screw,s-door&from=${now - 600_000}&to=${now}`)).json()
    expect(series.map((s: { sensor: string }) => s.sensor)).toEqual(['s-screw', 's-door'])
    expect(series[0].points).toHaveLength(10)
    expect(series[0].points[3]).toEqual({ at: now - 420_000, count: 1, mean: 21.5, min: 21.5, max: 21.5 })
    expect(series[1].points[3].mean).toBe(1)
  })

  it('asks the store for the last day and 500 points when nothing else is said', async () => {
    const { app, store } = await appFor()
    await get(app, '/api/series?sensors=s-air')
    expect(store.asked).toEqual([{ sensor: 's-air', from: now - 86_400_000, to: now, points: 500 }])
  })

  it('gives verdicts within the span', async () => {
    const { app, store } = await appFor()
    const change = { machine: 'mill', workClass: 'bores', verdict: 'fit', thermalErrorIndex: 10 } as const
    const fact = { ...change, reason: null }
    await store.facts.record('verdict', [
      { ...fact, at: now - 1000 },
      { ...fact, at: now - 40 * 86_400_000 },
    ])
    const { verdicts } = (await get(app, '/api/machines/mill/verdicts')).json()
    expect(verdicts).toEqual([{ ...change, at: now - 1000, reason: '', because: null }])
    expectExactly(verdictsAnswer, { verdicts })
    const all = (await get(app, `/api/machines/mill/verdicts?from=0&to=${now}`)).json()
    expect(all.verdicts).toHaveLength(2)
  })

  it('sets a datum: stored, told to the monitor, and given back', async () => {
    const { app, store, monitor } = await appFor()
    const reply = await app.inject({
      method: 'POST',
      url: '/api/machines/mill/datums',
      headers: local,
      payload: { by: ' Ada ', note: 'first part proved' },
    })
    expect(reply.statusCode).toBe(201)
    const set = reply.json()
    expect(set).toEqual({
      id: 1,
      firstPart: true,
      machine: 'mill',
      at: now,
      by: 'Ada',
      note: 'first part proved',
      temperatures: { air: 21, 'x-screw': 22, column: 20.5 },
    })
    expectExactly(datum, set)
    expect(await store.facts.of('datum')).toEqual([set])
    expect(monitor.datum).toEqual(set)
    expect((await get(app, '/api/machines/mill/datums')).json()).toEqual({ datums: [set] })
  })

  it('gives what was refused', async () => {
    const { app } = await appFor()
    expect((await get(app, '/api/refusals')).json().counts).toEqual([{ reason: 'not a number', count: 3 }])
  })

  it('keeps no answer in a cache', async () => {
    const { app } = await appFor()
    const reply = await app.inject({ url: '/api/machines', headers: local })
    expect(reply.headers['cache-control']).toBe('no-store')
  })
})

describe('the same tables as CSV', () => {
  it.each([
    ['/api/machines', 'machine,workClass,verdict,sinceUtc,'],
    ['/api/sensors', 'sensor,name,place,value,unit,timeUtc,'],
    ['/api/series?sensors=s-air', 'sensor,at,timeUtc,count,meanCelsius,minCelsius,maxCelsius'],
    ['/api/machines/mill/growth', 'axis,at,timeUtc,atZeroMetres,atWorkMetres,atTravelMetres'],
    ['/api/machines/mill/verdicts', 'machine,workClass,at,timeUtc,verdict,thermalErrorIndexPercent,reason'],
    [
      '/api/machines/mill/datums',
      'id,machine,at,timeUtc,by,note,zeroed,part Celsius,air Celsius,x-screw Celsius,column Celsius',
    ],
    ['/api/refusals', 'at,timeUtc,topic,reason,sample'],
  ])('%s', async (url, head) => {
    const { app } = await appFor()
    const answer = await get(app, `${url}${url.includes('?') ? '&' : '?'}format=csv`)
    expect(answer.status).toBe(200)
    expect(answer.type).toBe('text/csv; charset=utf-8')
    expect(answer.text.split('\r\n')[0]).toMatch(new RegExp(`^${head}`))
  })

  it('holds the series row by row, the offset applied', async () => {
    const { app, store } = await appFor()
    store.kept.set(
      's-screw',
      everyMinute(now - 120_000, now, () => 21),
    )
    const { text } = await get(app, '/api/series?sensors=s-screw&format=csv')
    expect(text.split('\r\n').slice(1)).toEqual([
      `s-screw,${now - 120_000},2026-03-02T07:58:00.000Z,1,21.5,21.5,21.5`,
      `s-screw,${now - 60_000},2026-03-02T07:59:00.000Z,1,21.5,21.5,21.5`,
      '',
    ])
  })

  it('gives a datum whose note begins like a formula harmlessly', async () => {
    const { app, store } = await appFor()
    await store.facts.record('datum', [
      { machine: 'mill', at: now, by: 'Ada', note: '=1+1, "so"', temperatures: { air: -3.5 } },
    ])
    const { text } = await get(app, '/api/machines/mill/datums?format=csv')
    expect(text.split('\r\n')[1]).toBe(`1,mill,${now},2026-03-02T08:00:00.000Z,Ada,"'=1+1, ""so""",,,-3.5,,`)
  })
})

describe('what cannot be answered says what, where and what to do', () => {
  const refused = async (url: string) => {
    const { app } = await appFor()
    const answer = await get(app, url)
    expect(answer.json()).toEqual({
      error: { what: expect.any(String), where: expect.any(String), remedy: expect.any(String) },
    })
    return { status: answer.status, ...answer.json().error }
  }

  it.each([
    ['/api/machines/mil', 404, /no machine "mil"/, /after \/api\/machines/, /Did you mean mill\?.*mill/],
    ['/api/machines/x/growth', 404, /no machine "x"/, /\/api\/machines/, /mill/],
    ['/api/machines/x/verdicts', 404, /no machine/, /\/api\/machines/, /mill/],
    ['/api/machines/x/datums', 404, /no machine/, /\/api\/machines/, /mill/],
    ['/api/series?sensors=s-air,s-ari', 404, /no sensor "s-ari"/, /sensors/, /Did you mean s-air.*s-air, s-screw/],
    ['/api/series', 400, /sensors.*name at least one/, /sensors/, /openapi/],
    ['/api/series?sensors=,', 400, /0 sensors/, /sensors/, /1 to 64/],
    ['/api/series?sensors=s-air&points=9', 400, /points/, /points/, /openapi/],
    ['/api/series?sensors=s-air&points=5001', 400, /points/, /points/, /openapi/],
    ['/api/series?sensors=s-air&points=many', 400, /whole number/, /points/, /openapi/],
    ['/api/series?sensors=s-air&from=yesterday', 400, /ms since 1970/, /from/, /openapi/],
    ['/api/series?sensors=s-air&from=20&to=10', 400, /ends \(to=10\) before it begins \(from=20\)/, /from/, /before/],
    ['/api/series?sensors=s-air&from=10&to=10', 400, /ends/, /from/, /before/],
    ['/api/series?sensors=s-air&format=xml', 400, /format/, /format/, /openapi/],
    ['/api/nothing', 404, /nothing at GET \/api\/nothing/, /address/, /openapi/],
  ])('%s', async (url, status, what, where, remedy) => {
    const answer = await refused(url)
    expect(answer.status).toBe(status)
    expect(answer.what).toMatch(what)
    expect(answer.where).toMatch(where)
    expect(answer.remedy).toMatch(remedy)
  })

  it('refuses a datum without a name, with a field it does not know, or that is no JSON', async () => {
    const { app, store } = await appFor()
    const post = (payload: unknown, type = 'application/json') =>
      app.inject({
        method: 'POST',
        url: '/api/machines/mill/datums',
        headers: { ...local, 'content-type': type },
        payload: typeof payload === 'string' ? payload : JSON.stringify(payload),
      })
    expect((await post({ note: 'x' })).json().error.what).toMatch(/by.*who sets the datum/)
    expect((await post({ by: '  ', note: 'x' })).statusCode).toBe(400)
    expect((await post({ by: 'Ada', at: 5 })).json().error.what).toMatch(/at/)
    expect((await post('{"by":')).statusCode).toBe(400)
    expect((await post('{"by":"Ada"}', 'text/plain')).statusCode).toBe(415)
    expect((await post({ by: 'Ada', note: 'x'.repeat(70_000) })).statusCode).toBe(413)
    expect(await store.facts.of('datum')).toEqual([])
  })

  it('refuses a datum while a required node is unknown or the demo fills', async () => {
    const { app, store, monitor } = await appFor()
    const post = () =>
      app.inject({ method: 'POST', url: '/api/machines/mill/datums', headers: local, payload: { by: 'Ada' } })
    monitor.missing = 'column'
    const reply = await post()
    expect(reply.statusCode).toBe(409)
    expect(reply.json().error.what).toMatch(/node column is unknown/)
    monitor.missing = ''
    monitor.setFilling(0.5)
    expect((await post()).statusCode).toBe(409)
    expect(await store.facts.of('datum')).toEqual([])
  })

  it('hides what failed inside and names the request to look for', async () => {
    const { app, store } = await appFor()
    store.facts.of = () => {
      throw new Error('secret detail')
    }
    const answer = await get(app, '/api/machines/mill/verdicts')
    expect(answer.status).toBe(500)
    expect(answer.text).not.toMatch(/secret/)
    expect(answer.json().error.remedy).toMatch(/request .* log/)
  })
})
