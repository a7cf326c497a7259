import { describe, expect, it } from 'vitest'
import { checkAnswer, offsetRecord } from '../../../server/http/schemas/calibration.js'
import { randomStream } from '../../../simulators/random.js'
import { appFor, everyMinute, local, now, shop } from './fakes.js'

const hour = 3_600_000
const from = now - 4 * hour
/** K; what the sensors are off by, without their offsets in the shop file (s-screw has 0.5 K there) */
const off = { 's-air': 0.02, 's-screw': -0.1, 's-column': -0.03 }

const measuring = async (box: (at: number) => number = () => 20) => {
  const fixture = await appFor()
  const draws = randomStream(3, 'box')
  for (const [id, error] of Object.entries(off))
    fixture.store.kept.set(
      id,
      everyMinute(from, now, at => box(at) + error + 0.01 * draws.normal()),
    )
  const check = async (query = `sensors=all&from=${from}&to=${now}`) =>
    fixture.app.inject({ url: `/api/calibration/check?${query}`, headers: local })
  const post = (what: string, payload: object) =>
    fixture.app.inject({
      method: 'POST',
      url: `/api/calibration/offsets${what}`,
      headers: local,
      payload: { by: 'Ada', ...payload },
    })
  const accept = (...accepted: { sensor: string; offset: number }[]) =>
    post('', { sensors: 'all', where: 'box', from, to: now, note: 'in the box', accept: accepted })
  const record = async () =>
    (await fixture.app.inject({ url: '/api/calibration/offsets', headers: local })).json().changes
  return { ...fixture, check, post, accept, record }
}

describe('the common-temperature check', () => {
  it('gives each sensor its distance from the median of all, and proposes what brings it there', async () => {
    const { check } = await measuring()
    const reply = await check()
    expect(reply.statusCode).toBe(200)
    const answer = reply.json()
    expect(checkAnswer.parse(answer)).toEqual(answer)
    expect(answer).toMatchObject({ still: true, from, to: now })
    const screw = answer.sensors.find((s: { sensor: string }) => s.sensor === 's-screw')
    // the median is s-air's; with its 0.5 K in the file the screw's sensor is 0.4 − 0.02 K above it
    expect(Math.abs(screw.difference - 0.38)).toBeLessThan(2 * screw.standardUncertainty)
    expect(screw.standardUncertainty).toBeLessThan(0.005)
    expect(screw.proposed).toBeCloseTo(0.5 - screw.difference, 9)
    expect(answer.sensors.find((s: { sensor: string }) => s.sensor === 's-air').proposed).toBeNull()
  })

  it('takes the step of a sensor that did not change from the month before, else guesses on the safe side', async () => {
    const { check, store } = await measuring()
    const month = now - 20 * 24 * hour
    const still = (history: (i: number) => number) => {
      const points = everyMinute(from, now, () => 20.6).points
      const earlier = everyMinute(month, month + hour, at => history((at - month) / 60_000)).points
      store.kept.set('s-column', { level: 'reading', points: [...earlier, ...points] })
    }
    const column = async () => (await check()).json().sensors.find((s: { sensor: string }) => s.sensor === 's-column')
    still(i => 20.4 + (i % 3) / 10)
    const known = await column()
    expect(known).toMatchObject({ stepAssumed: false, significant: true })
    expect(known.step).toBeCloseTo(0.1, 9)
    expect(known.standardUncertainty).toBeGreaterThanOrEqual(0.1 / Math.sqrt(12))
    still(() => 20.6)
    expect(await column()).toMatchObject({ step: 0.5, stepAssumed: true, significant: false, proposed: null })
  })

  it('gives the same as CSV', async () => {
    const { check } = await measuring()
    const text = (await check(`sensors=all&from=${from}&to=${now}&format=csv`)).body
    expect(text.trim().split(/\r?\n/)).toHaveLength(4)
    expect(text).toContain('s-screw,Sensor s-screw,')
  })

  it('stores what a person accepts, with old and new, and puts it in force at once', async () => {
    const { check, accept, record, monitor } = await measuring()
    const { proposed, difference, standardUncertainty } = (await check())
      .json()
      .sensors.find((s: { sensor: string }) => s.sensor === 's-screw')
    const reply = await accept({ sensor: 's-screw', offset: proposed })
    expect(reply.statusCode).toBe(201)
    expect(reply.json().changes).toMatchObject([
      {
        sensor: 's-screw',
        at: now,
        by: 'Ada',
        note: 'in the box',
        oldOffset: 0.5,
        newOffset: proposed,
        found: { from, to: now, difference, standardUncertainty, sensors: 3 },
        takesBack: null,
      },
    ])
    expect(monitor.offsets).toEqual({ 's-screw': proposed })
    const changes = await record()
    expect(offsetRecord.parse({ changes })).toEqual({ changes })
    expect(changes[0]).toMatchObject({ name: 'Sensor s-screw', inForce: true })
  })

  it('takes back by another fact: the offset before it holds again, and both stay on record', async () => {
    const { check, accept, post, record, monitor } = await measuring()
    const proposals = (await check()).json().sensors.filter((s: { proposed: number | null }) => s.proposed !== null)
    await accept(
      ...proposals.map((s: { sensor: string; proposed: number }) => ({ sensor: s.sensor, offset: s.proposed })),
    )
    const { id, newOffset } = (await record()).find((c: { sensor: string }) => c.sensor === 's-screw')
    const back = await post(`/${id}/take-back`, { note: 'the box stood in the sun' })
    expect(back.statusCode).toBe(201)
    expect(back.json()).toMatchObject({ oldOffset: newOffset, newOffset: 0.5, takesBack: id, found: null })
    expect(monitor.offsets['s-screw']).toBe(0.5)
    const changes = await record()
    expect(changes.map((c: { inForce: boolean }) => c.inForce)).toEqual([
      false,
      ...proposals.map((s: { sensor: string }) => s.sensor !== 's-screw').reverse(),
    ])
    const again = await post(`/${id}/take-back`, {})
    expect(again.statusCode).toBe(409)
    expect((await post('/999/take-back', {})).statusCode).toBe(404)
  })

  it('asks where the sensors were together, keeps it, and refuses what cannot have been', async () => {
    const { check, post, store } = await measuring()
    const { proposed } = (await check()).json().sensors.find((s: { sensor: string }) => s.sensor === 's-screw')
    const accept = [{ sensor: 's-screw', offset: proposed }]
    const body = { by: 'Ada', note: '', sensors: 'all', from, to: now, accept }
    expect((await post('', { ...body, where: undefined })).statusCode).toBe(400)
    expect((await post('', { ...body, where: 'in a drawer' })).statusCode).toBe(400)
    // one of the three is moved to another machine in the shop file
    const column = shop.sensors.find(({ id }) => id === 's-column')!
    const { at } = column
    column.at = { kind: 'shop air' }
    const apart = await post('', { ...body, where: 'as mounted' })
    column.at = at
    expect(apart.statusCode).toBe(409)
    expect(apart.json().error.what).toContain('cannot have been at one temperature')
    expect(await store.facts.of('offset')).toEqual([])
    expect((await post('', { ...body, where: 'as mounted' })).statusCode).toBe(201)
    expect(await store.facts.of('offset')).toMatchObject([{ found: { where: 'as mounted' } }])
  })

  it('accepts nothing as from a box of which a sensor moved with its own machine, and says which', async () => {
    const { check, post, store } = await measuring()
    const swaying = (error: number) => everyMinute(from, now, at => 20 + error + 0.1 * Math.sin((at - from) / 1.7e6))
    store.kept.set('s-screw', swaying(-0.1))
    store.kept.set('s-column', swaying(-0.03))
    const answer = (await check()).json()
    expect(checkAnswer.parse(answer)).toEqual(answer)
    expect(answer.still).toBe(true)
    expect(answer.stillMounted.map((s: { sensor: string }) => s.sensor)).toEqual(['s-screw', 's-column'])
    expect(answer.stillMounted[0]).toMatchObject({ name: 'Sensor s-screw', beside: 'Sensor s-column' })
    const { proposed } = answer.sensors.find((s: { sensor: string }) => s.sensor === 's-screw')
    const body = { sensors: 'all', from, to: now, note: '', accept: [{ sensor: 's-screw', offset: proposed }] }
    for (const where of ['box', 'bath', 'side by side']) {
      const reply = await post('', { ...body, where })
      expect(reply.statusCode).toBe(409)
      expect(reply.json().error.what).toContain('it moved like Sensor s-column')
    }
    expect(await store.facts.of('offset')).toEqual([])
    expect((await post('', { ...body, where: 'as mounted' })).statusCode).toBe(201)
  })

  it.each([
    ['another offset than was proposed', { sensor: 's-screw', offset: 0.2 }],
    ['one for a sensor that needs none', { sensor: 's-air', offset: 0.001 }],
    ['one for an unknown sensor', { sensor: 'nobody', offset: 0.1 }],
  ])('refuses %s', async (_what, accepted) => {
    const { accept, store } = await measuring()
    const reply = await accept(accepted)
    expect(reply.statusCode).toBe(409)
    expect(reply.json().error.remedy).toContain('Look at the check again')
    expect(await store.facts.of('offset')).toEqual([])
  })

  it('accepts nothing from a period that was not still', async () => {
    const { check, accept, store } = await measuring(at => 20 + (0.5 * (at - from)) / hour)
    const answer = (await check()).json()
    expect(answer.still).toBe(false)
    expect(answer.drift).toBeCloseTo(0.5, 1)
    const screw = answer.sensors.find((s: { sensor: string }) => s.sensor === 's-screw')
    const reply = await accept({ sensor: 's-screw', offset: screw.proposed })
    expect(reply.statusCode).toBe(409)
    expect(reply.json().error.what).toContain('not still enough')
    expect(await store.facts.of('offset')).toEqual([])
  })

  it.each([
    ['two sensors', `sensors=s-air,s-screw&from=${from}&to=${now}`, '2 sensors were named'],
    ['a contact', `sensors=s-air,s-screw,s-column,s-door&from=${from}&to=${now}`, 's-door tells a state'],
    ['ten minutes', `sensors=all&from=${now - 600_000}&to=${now}`, '10 min long'],
    ['a time without readings', `sensors=all&from=${from - 2 * hour}&to=${now}`, 'cannot be compared'],
  ])('refuses %s, and says what would do', async (_what, query, words) => {
    const { check } = await measuring()
    const reply = await check(query)
    expect(reply.statusCode).toBe(400)
    expect(reply.json().error.what).toContain(words)
    expect(reply.json().error.remedy).not.toBe('')
  })
})
