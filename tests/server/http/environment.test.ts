import { describe, expect, it } from 'vitest'
import { comparisonAnswer, environmentAnswer } from '../../../server/http/schemas/measured.js'
import { appFor, everyMinute, local, now } from './fakes.js'

const hour = 3_600_000
const from = now - 24 * hour
/** °C; the air swings by 2 K a day, the screw by half of it, the column not at all */
const air = (at: number) => 21 + Math.sin((2 * Math.PI * (at - from)) / (24 * hour))
const screw = (at: number) => 21 + 0.5 * Math.sin((2 * Math.PI * (at - from)) / (24 * hour))

/** of the invented mill: steel, 400 mm from the fixed end to the work, and a column at rest */
const growthAt = (at: number) => 11.5e-6 * 0.4 * (screw(at) - 20) + 11.5e-6 * 0.5 * (21 - 20)

const atRest = async () => {
  const fixture = await appFor()
  const { store } = fixture
  store.kept.set('s-air', everyMinute(from, now, air))
  // its sensor reads half a kelvin less than it should, which the shop file knows
  store.kept.set(
    's-screw',
    everyMinute(from, now, t => screw(t) - 0.5),
  )
  store.kept.set(
    's-column',
    everyMinute(from, now, () => 21),
  )
  const get = (url: string) => fixture.app.inject({ url: `/api/machines/mill/environment${url}`, headers: local })
  const post = (payload: object) =>
    fixture.app.inject({
      method: 'POST',
      url: '/api/machines/mill/environment/logs',
      headers: local,
      payload: { by: 'Ada', axis: 'X', ...payload },
    })
  return { ...fixture, get, post }
}

const csvOf = (rows: [string | number, string | number][], heading = 'time,value (µm)') =>
  `${heading}\r\n${rows.map(r => r.join(',')).join('\r\n')}\r\n`

const logged = (sign: 1 | -1, count = 200) =>
  Array.from({ length: count }, (_, i): [string, number] => {
    const at = from + 2 * hour + i * 300_000
    return [new Date(at).toISOString(), sign * growthAt(at) * 1e6 + 37]
  })

describe('the environment test', () => {
  it('reports the largest change within the window, the air in it, and what a kelvin does', async () => {
    const { get } = await atRest()
    const reply = await get(`?from=${from}&to=${now}&window=${6 * 3600}`)
    expect(reply.statusCode).toBe(200)
    const answer = reply.json()
    expect(environmentAnswer.parse(answer)).toEqual(answer)
    expect(answer.air).toBe('air')
    const [x] = answer.axes
    // a sine of amplitude a changes most within 6 of its 24 h about its zero: 2·a·sin(π/4)
    const swing = 2 * Math.sin(Math.PI / 4)
    expect(x.worst.change).toBeCloseTo(11.5e-6 * 0.4 * 0.5 * swing, 8)
    expect(x.worst.airSwing).toBeCloseTo(swing, 2)
    expect(x.worst.to - x.worst.from).toBeLessThanOrEqual(6 * hour)
    // 11.5e-6/K · 0.4 m · half a kelvin a kelvin
    expect(x.worst.ratio).toBeCloseTo(2.3e-6, 8)
    expect(x.sensitivity.slope).toBeCloseTo(2.3e-6, 8)
    expect(x.sensitivity.lag).toBe(0)
  })

  it('gives the same table as CSV', async () => {
    const { get } = await atRest()
    const reply = await get(`?from=${from}&to=${now}&window=3600&format=csv`)
    expect(reply.headers['content-type']).toMatch(/text\/csv/)
    const [head, first] = reply.body.split('\r\n')
    expect(head).toBe('at,timeUtc,airCelsius,X growth metres')
    expect(Number(first!.split(',')[3])).toBeCloseTo(growthAt(from), 7)
  })

  it('leaves holes where a node has no reading, and says nothing where nothing is known', async () => {
    const { get, store } = await atRest()
    store.kept.set('s-column', {
      level: 'reading',
      points: everyMinute(from, now, () => 21).points.filter(p => p.at < from + 4 * hour || p.at > from + 6 * hour),
    })
    const { axes, at } = (await get(`?from=${from}&to=${now}`)).json()
    const inHole = at.findIndex((t: number) => t >= from + 5 * hour)
    expect(axes[0].growth[inHole]).toBeNull()
    expect(axes[0].growth.at(-1)).not.toBeNull()
    const nothing = (await get(`?from=${from - 9 * hour}&to=${from - 8 * hour}`)).json()
    expect(nothing.axes[0]).toEqual({ axis: 'X', growth: [], worst: null, sensitivity: null })
  })

  it('refuses what cannot be', async () => {
    const { get, app } = await atRest()
    expect((await get('?window=10')).statusCode).toBe(400)
    expect((await get(`?from=${now}&to=${from}`)).json().error.where).toBe('query "from" and "to"')
    expect((await app.inject({ url: '/api/machines/grinder/environment', headers: local })).statusCode).toBe(404)
  })
})

describe('a log of an indicator', () => {
  it('is stored and compared, wherever the indicator stood and whichever way it counts', async () => {
    const { get, post, store } = await atRest()
    const reply = await post({ csv: csvOf(logged(-1)), sense: 'longer reads lower', note: 'indicator on the table' })
    expect(reply.statusCode).toBe(201)
    expect(reply.json()).toMatchObject({ axis: 'X', sign: -1, by: 'Ada', count: 200, from: from + 2 * hour })
    expect((await store.facts.of('drift log'))[0]!.points[0]!.value).toBeCloseTo(logged(-1)[0]![1] / 1e6, 12)
    expect((await get('')).json().logs).toEqual([reply.json()])

    const answer = (await get(`/logs/${reply.json().id}?window=3600`)).json()
    expect(comparisonAnswer.parse(answer)).toEqual(answer)
    expect(answer.comparison.rms).toBeLessThan(0.02e-6)
    expect(answer.comparison.rmsMeasured).toBeGreaterThan(0.5e-6)
    expect(answer.comparison.leftOut).toBe(0)
    expect(answer.worst.change).toBeGreaterThan(0.3e-6)
    const text = (await get(`/logs/${reply.json().id}?format=csv`)).body
    expect(text.split('\r\n')[0]).toBe('at,timeUtc,measuredMetres,predictedMetres,residualMetres')
    expect(text.split('\r\n')).toHaveLength(202)
  })

  it('is taken as JSON too, with units in each value, and times of the shop', async () => {
    const { post, store } = await atRest()
    // Vienna is an hour ahead of UTC in March before the change
    const points = [
      { time: '2026-03-02 08:10', value: '1 tenth' },
      { time: '2026-03-02T07:15:00Z', value: '2.5 µm' },
    ]
    expect((await post({ points })).statusCode).toBe(201)
    expect((await store.facts.of('drift log'))[0]!.points).toEqual([
      { at: Date.UTC(2026, 2, 2, 7, 10), value: 2.54e-6 },
      { at: Date.UTC(2026, 2, 2, 7, 15), value: 2.5e-6 },
    ])
  })

  it.each([
    ['no unit', csvOf(logged(1), 'time,value'), /line 2: .*has no unit/],
    ['a bad time', csvOf([['yesterday', 1]]), /line 2: "yesterday" is not a time/],
    ['a date whose order nobody can tell', csvOf([['02/03/2026 08:00', 1]]), /line 2: "02\/03\/2026 08:00"/],
    ['a time ahead', csvOf([['2026-03-02T20:00Z', 1]]), /line 2: .*lies ahead of now/],
    [
      'the same time twice',
      csvOf([
        ['2026-03-01T20:00Z', 1],
        ['2026-03-01T20:00Z', 2],
      ]),
      /line 3: .*not after the time/,
    ],
    ['an impossible value', csvOf([['2026-03-01T20:00Z', 9000]]), /line 2: .*more than 5 mm/],
    ['a decimal comma', 'time;value µm\n2026-03-01T20:00Z;1,5\n', /line 2: "1,5" has a comma in its number/],
    ['no heading', '2026-03-01T20:00Z,1\n', /no heading "time" and "value"/],
    ['another column', csvOf([], 'time,value µm,colour'), /heading "colour" is not known/],
    ['no rows', csvOf([]), /no row below/],
    ['nothing', '', /is empty/],
    ['one value', csvOf([['2026-03-01T20:00Z', 1]]), /two values at least/],
    ['an open quotation', 'time,value µm\n"2026', /cannot be read/],
  ])('is refused with the line and the remedy: %s', async (_name, csv, words) => {
    const { post, store } = await atRest()
    const reply = await post({ csv })
    expect(reply.statusCode).toBe(400)
    expect(reply.json().error.what).toMatch(words)
    expect(reply.json().error.where).toMatch(/^body "csv"/)
    expect(reply.json().error.remedy.length).toBeGreaterThan(10)
    expect(await store.facts.of('drift log')).toEqual([])
  })

  it('names the first few faults of many', async () => {
    const { post } = await atRest()
    const { what } = (await post({ csv: csvOf(Array.from({ length: 9 }, () => ['soon', 1])) })).json().error
    expect(what).toMatch(/line 2: .*line 6: .*and 4 more/)
  })

  it('belongs to an axis of the machine, and is known by its number', async () => {
    const { get, post } = await atRest()
    expect((await post({ csv: csvOf(logged(1)), axis: 'Q' })).json().error.remedy).toMatch(/X/)
    expect((await get('/logs/7')).statusCode).toBe(404)
  })

  it('is written only by those who may', async () => {
    const { app, store } = await appFor({ host: '0.0.0.0', token: 'x'.repeat(20) })
    const reply = await app.inject({
      method: 'POST',
      url: '/api/machines/mill/environment/logs',
      payload: { by: 'Ada', axis: 'X', csv: csvOf(logged(1)) },
    })
    expect(reply.statusCode).toBe(401)
    expect(await store.facts.of('drift log')).toEqual([])
  })
})
