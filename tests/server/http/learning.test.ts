import { describe, expect, it } from 'vitest'
import { learningAnswer } from '../../../server/http/schemas/measured.js'
import { appFor, everyMinute, local, now } from './fakes.js'

const hour = 3_600_000
const day = 24 * hour
const from = now - 6 * day
const air = (at: number) => 21 + Math.sin((2 * Math.PI * (at - from)) / day)
const screw = (at: number) => 21 + 2 * Math.sin((2 * Math.PI * (at - from)) / day)
const column = (at: number) => 21 + 1.5 * Math.cos((2 * Math.PI * (at - from)) / day)

/** growth of the mill as it really is: its screw grows by 25 % more than described */
const truly = (at: number) => 1.25 * 11.5e-6 * 0.4 * screw(at) + 11.5e-6 * 0.5 * column(at)

/** four readings a day, each day from a zero of its own, to the nanometre */
const table = (days = 5, grow = truly) =>
  `axis,zero,time,value (µm),uncertainty (µm)\n${Array.from({ length: days }, (_, d) => {
    const zero = from + d * day + 2 * hour
    return [3, 6, 9, 12].map(h => {
      const at = zero + h * hour
      return ['X', new Date(zero).toISOString(), new Date(at).toISOString(), (grow(at) - grow(zero)) * 1e6, 0.3].join()
    })
  })
    .flat()
    .join('\n')}`

const measuring = async () => {
  const fixture = await appFor()
  const { store, app } = fixture
  store.kept.set('s-air', everyMinute(from, now, air, 300_000))
  store.kept.set(
    's-screw',
    everyMinute(from, now, t => screw(t) - 0.5, 300_000),
  )
  store.kept.set('s-column', everyMinute(from, now, column, 300_000))
  const get = async () => (await app.inject({ url: '/api/machines/mill/learning', headers: local })).json()
  const post = (what: string, payload: object) =>
    app.inject({
      method: 'POST',
      url: `/api/machines/mill/${what}`,
      headers: local,
      payload: { by: 'Ada', ...payload },
    })
  const learned = (answer: { factors: { element: string; factor: number }[] }) =>
    Object.fromEntries(answer.factors.map(f => [f.element, f.factor]))
  return { ...fixture, get, post, learned }
}

describe('learning from measurements', () => {
  it('finds what the machine does, and shows it on days that were held out', async () => {
    const { get, post } = await measuring()
    expect((await post('measurements', { csv: table() })).statusCode).toBe(201)
    const answer = await get()
    expect(learningAnswer.parse(answer)).toEqual(answer)
    const [screwFactor, columnFactor] = answer.factors
    expect(screwFactor).toMatchObject({ element: 'X screw', axes: ['X'], atLimit: false })
    expect(Math.abs(screwFactor.factor - 1.25)).toBeLessThan(2 * screwFactor.uncertainty)
    expect(Math.abs(columnFactor.factor - 1)).toBeLessThan(2 * columnFactor.uncertainty)
    expect(screwFactor.uncertainty).toBeLessThan(0.3 * screwFactor.prior)
    expect(answer.heldOut).toMatchObject({ occasions: 5, better: 5, improves: true })
    expect(answer.heldOut.corrected).toBeLessThan(0.2 * answer.heldOut.nominal)
    expect(answer.measurements[0].heldOut).toBeCloseTo(answer.measurements[0].value, 7)
    expect(answer.inUse).toBeNull()
  })

  it('applies what a person accepts, as a dated fact, and goes back with one click', async () => {
    const { get, post, learned, monitor, store } = await measuring()
    await post('measurements', { csv: table() })
    const factors = learned(await get())
    const applied = await post('factors', { factors, note: 'checked on the sphere' })
    expect(applied.statusCode).toBe(201)
    expect(applied.json()).toMatchObject({ by: 'Ada', at: now, factors, note: 'checked on the sphere' })
    expect(applied.json().shown).toMatchObject({ occasions: 5, measurements: 20 })
    expect(monitor.factors).toEqual(factors)
    expect((await get()).inUse).toEqual(applied.json())

    const back = await post('factors', { factors: null })
    expect(back.statusCode).toBe(201)
    expect(monitor.factors).toEqual({})
    expect((await store.facts.of('factors')).map(c => c.factors)).toEqual([factors, null])
    expect((await get()).inUse).toBeNull()
    expect((await post('factors', { factors: null })).statusCode).toBe(409)
  })

  it('does not apply what was not shown to help, what is not what is learned, or too few days', async () => {
    const { get, post, learned, monitor } = await measuring()
    await post('measurements', { csv: table(2) })
    const few = await post('factors', { factors: learned(await get()) })
    expect(few.statusCode).toBe(409)
    expect(few.json().error.what).toMatch(/too few days/)

    await post('measurements', { csv: table(5) })
    const factors = learned(await get())
    const other = await post('factors', { factors: { ...factors, 'X screw': 1.4 } })
    expect(other.json().error.what).toMatch(/not the factors/)
    expect((await post('factors', { factors: {} })).statusCode).toBe(409)
    expect(monitor.factors).toEqual({})
  })

  it('does not apply factors that do worse on days held out', async () => {
    const { get, post, learned, monitor } = await measuring()
    // a machine as described, measured by somebody whose indicator sticks: a third more on one day, a third less on the next
    const sticking = (at: number) => {
      const later = Math.floor((at - from - 2 * hour) / day)
      const nominal = 11.5e-6 * (0.4 * screw(at) + 0.5 * column(at))
      return nominal * (later % 2 ? 0.67 : 1.33)
    }
    await post('measurements', { csv: table(4, sticking) })
    const answer = await get()
    expect(answer.heldOut.improves).toBe(false)
    const reply = await post('factors', { factors: learned(answer) })
    expect(reply.statusCode).toBe(409)
    expect(reply.json().error.what).toMatch(/not better/)
    expect(monitor.factors).toEqual({})
  })

  it('takes one measurement, in whatever units, and sets it aside again', async () => {
    const { get, post, store } = await measuring()
    const one = {
      axis: 'x',
      zero: '2026-03-01 08:00',
      time: '2026-03-01 14:00',
      value: '3 tenths',
      uncertainty: '1 µm',
    }
    const reply = await post('measurements', { one: { ...one, position: '200 mm' }, note: 'reference bar' })
    expect(reply.statusCode).toBe(201)
    const [stored] = await store.facts.of('measurement')
    expect(stored).toMatchObject({
      axis: 'X',
      position: 0.2,
      zeroAt: Date.UTC(2026, 2, 1, 7),
      at: Date.UTC(2026, 2, 1, 13),
      note: 'reference bar',
    })
    expect(stored!.value).toBeCloseTo(7.62e-6, 12)
    const { id } = stored!
    expect((await post(`measurements/${id}/set-aside`, { note: 'the bar was loose' })).statusCode).toBe(201)
    expect((await post(`measurements/${id}/set-aside`, {})).statusCode).toBe(409)
    expect((await post('measurements/77/set-aside', {})).statusCode).toBe(404)
    expect((await get()).measurements[0]).toMatchObject({ why: 'set aside', computed: null })
  })

  it('says why a measurement cannot be used', async () => {
    const { get, post, store } = await measuring()
    store.kept.set('s-column', everyMinute(from + 3 * day, now, column, 300_000))
    await post('measurements', { csv: table() })
    const { measurements, heldOut } = await get()
    expect(measurements[0].why).toBe('column: no reading near the zero was believed')
    expect(measurements.at(-1).why).toBe('')
    expect(heldOut).toBeNull()
  })

  const row = 'X,2026-03-01 08:00,2026-03-01 12:00,4,0.5'
  it.each([
    ['an axis that is not there', row.replace('X', 'Q'), /line 2: "Q" is not an axis of Mill/],
    ['a zero after the reading', row.replace('08:00', '13:00'), /line 2: the zero .* is not before the time/],
    ['a reading to come', row.replace('03-01 12:00', '03-09 12:00'), /line 2: .*ahead of now/],
    ['no uncertainty', row.replace('0.5', '0'), /line 2: the uncertainty "0" is not above 0/],
    ['a wild value', row.replace(',4,', ',40000,'), /line 2: .*more than 5 mm/],
    ['no number', row.replace(',4,', ',much,'), /line 2: value: "much" does not begin with a number/],
  ])('refuses %s, with the line, and stores nothing', async (_name, bad, words) => {
    const { post, store } = await measuring()
    const csv = `axis,zero,time,value µm,uncertainty µm\n${bad}\n${row}\n`
    const reply = await post('measurements', { csv })
    expect(reply.statusCode).toBe(400)
    expect(reply.json().error.what).toMatch(words)
    expect(await store.facts.of('measurement')).toEqual([])
  })

  it('needs a measurement, and the right to write', async () => {
    const { post } = await measuring()
    expect((await post('measurements', {})).statusCode).toBe(400)
    const { app, store } = await appFor({ host: '0.0.0.0', token: 'x'.repeat(20) })
    for (const url of ['measurements', 'factors', 'measurements/1/set-aside'])
      expect(
        (await app.inject({ method: 'POST', url: `/api/machines/mill/${url}`, payload: { by: 'Ada', csv: table() } }))
          .statusCode,
      ).toBe(401)
    expect(await store.facts.of('measurement')).toEqual([])
  })
})
