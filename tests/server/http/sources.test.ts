import { describe, expect, it } from 'vitest'
import { type ShopModel, sourcesAhead, sourcesAnswer, whatIfAnswer } from '../../../core/shop-model/index.js'
import { fortnight } from '../../../server/studies/identification/means.js'
import { learningShop, toEnd } from '../../../server/studies/shop-model/prepare.js'
import { courses, end, shop, told } from '../studies/shop-model/hall-shop.js'
import { appFor, local } from './fakes.js'

const day = 86_400_000
/** the column is 2 K colder than the screw, for which it may stand in, so that the two can be told apart */
const all = new Map(told.map(([id, values]) => [id, id === 's-column' ? values.map(value => value - 2) : values]))

let model: ShopModel | null = null

/** The service over ten days of an invented hall, its model learned or not yet. */
const lived = async (isLearned = true, described = shop) => {
  const found = await appFor({}, { shop: described, clock: () => end })
  for (const [sensor, values] of all)
    found.store.kept.set(sensor, {
      level: 'minute',
      points: [...values].map((mean, i) => ({ at: courses.from + i * 300_000, count: 1, mean, min: mean, max: mean })),
    })
  if (isLearned) {
    model ??= await toEnd(learningShop({ shop, store: found.store }, fortnight(end), end))
    await found.store.facts.record('shop model', [model])
  }
  return found
}

describe('where a movement came from', () => {
  it('is answered with shares, openings and what it rests on', async () => {
    const { app } = await lived()
    const reply = await app.inject({
      url: `/api/machines/mill/sources?from=${end - 3 * day}&to=${end}`,
      headers: local,
    })
    const answer = sourcesAnswer.parse(reply.json())
    expect(answer.cannotBeTold).toBeNull()
    expect(answer.axis).toBe('X')
    expect(answer.isBeingLearned).toBe(false)
    expect(answer.restsOn).toMatchObject({ learnedAt: end, days: 10 })
    expect(answer.causes.map(({ id }) => id)).toEqual(expect.arrayContaining(['dock', 'oven', 'outdoors', 'week']))
    expect(answer.causes.at(-1)!.id).toBe('unexplained')
    const alone = answer.causes.filter(({ group, id }) => group === null && id !== 'unexplained')
    const likely = alone.map(({ growth: { share } }) => share.likely)
    expect(likely).toEqual([...likely].sort((a, b) => b - a))
    expect(answer.causes.find(({ id }) => id === 'vent')).toMatchObject({ knownBy: 'not at all', active: null })
    expect(answer.openings[0]).toMatchObject({ source: 'dock' })
    expect(answer.openings[0]!.responses.map(({ of }) => of)).toEqual(['air', 'growth'])
  })
  it('is not told while the model of the shop is being learned, but what needs no model is, and at once', async () => {
    const { app } = await lived(false)
    const span = `from=${end - 3 * day}&to=${end}`
    const ask = async (what: string) => (await app.inject({ url: `/api/machines/mill/${what}`, headers: local })).json()
    const answer = sourcesAnswer.parse(await ask(`sources?${span}`))
    expect(answer).toMatchObject({ isBeingLearned: true, causes: [], restsOn: null, axis: 'X' })
    expect(answer.cannotBeTold).toMatch(/being learned/)
    expect(answer.openings[0]).toMatchObject({ source: 'dock' })
    expect(answer.cyclesCannotBeTold).toBeNull()
    expect((await ask(`what-if?${span}&shut=dock`)).cannotBeTold).toMatch(/being learned/)
  })
  it('takes the offsets that were in force at the end of the span, throughout', async () => {
    const { app, store } = await lived()
    // accepted in the span, and changed after it: neither is a movement, and the model of then still tells of it
    const change = { sensor: 's-screw', by: 'Ada', note: '', found: null, takesBack: null }
    await store.facts.record('offset', [
      { ...change, at: end - 2 * day, oldOffset: 3, newOffset: 0.5 },
      { ...change, at: end + day, oldOffset: 0.5, newOffset: 4 },
    ])
    const ask = async (to: number) =>
      whatIfAnswer.parse(
        (
          await app.inject({ url: `/api/machines/mill/what-if?from=${to - day}&to=${to}&shut=dock`, headers: local })
        ).json(),
      )
    const screwAt = async (to: number) => (await ask(to)).nodes.find(({ node }) => node === 'x-screw')!.was
    const measured = told.find(([id]) => id === 's-screw')![1]
    const expected = (to: number, offset: number) =>
      [...measured.subarray((to - day - courses.from) / 300_000, (to - courses.from) / 300_000)].map(t => t + offset)
    const off = async (to: number, offset: number) => {
      const [was, truly] = [await screwAt(to), expected(to, offset)]
      return Math.max(...truly.map((t, i) => Math.abs(was[i]! - t)))
    }
    expect(await off(end, 0.5)).toBeLessThan(1e-9)
    expect(await off(end - 1.5 * day, 0.5)).toBeLessThan(1e-9)
    expect(await off(end - 2.5 * day, 3)).toBeLessThan(1e-9)
    expect((await ask(end)).restsOn).toMatchObject({ learnedAt: end })
  })
  it('takes a stand-in while a sensor was not believed, as the verdicts of that time did', async () => {
    const [mill] = shop.machines
    const nodes = mill!.nodes.map(node =>
      node.id === 'x-screw' ? { ...node, standIn: { node: 'column', uncertainty: 0.5 } } : node,
    )
    const { app, store } = await lived(true, { ...shop, machines: [{ ...mill!, nodes }] })
    const [from, to] = [end - 20 * 3_600_000, end - 14 * 3_600_000]
    const trust = { sensor: 's-screw', since: from, basis: null }
    await store.facts.record('trust', [
      { ...trust, at: from, trust: 'suspect', fault: { kind: 'follows the air' } },
      { ...trust, at: to, trust: 'ok', fault: null },
    ])
    const reply = await app.inject({
      url: `/api/machines/mill/what-if?from=${end - day}&to=${end}&shut=dock`,
      headers: local,
    })
    const { at, was } = whatIfAnswer.parse(reply.json()).nodes.find(({ node }) => node === 'x-screw')!
    const told = (sensor: string, moment: number) => all.get(sensor)![Math.floor((moment - courses.from) / 300_000)]!
    at.forEach((moment, i) => {
      const isDoubted = moment >= from && moment < to
      expect(was[i]).toBeCloseTo(isDoubted ? told('s-column', moment) : told('s-screw', moment) + 0.5, 9)
    })
  })
  it('cannot be told without readings, in a span that is too short or too long, and says why', async () => {
    const { app } = await appFor()
    const why = async (from: number, to: number) =>
      (await app.inject({ url: `/api/machines/mill/sources?from=${from}&to=${to}`, headers: local })).json()
        .cannotBeTold
    expect(await why(end - day, end)).toMatch(/not known on 3 days/)
    expect(await why(end - 60_000, end)).toMatch(/shorter than two hours/)
    expect(await why(end - 40 * day, end)).toMatch(/longer than five weeks/)
  })
})

describe('what would have been', () => {
  it('had the door stayed shut is warmer, with an interval around it', async () => {
    const { app } = await lived()
    const url = `/api/machines/mill/what-if?from=${end - 3 * day}&to=${end}&shut=dock`
    const answer = whatIfAnswer.parse((await app.inject({ url, headers: local })).json())
    expect(answer).toMatchObject({ cannotBeTold: null, shut: ['dock'], alsoMeans: [] })
    const screw = answer.nodes.find(({ node }) => node === 'x-screw')!
    expect(screw.at).toHaveLength(3 * 288)
    const warmer = screw.without.map((value, i) => value! - screw.was[i]!)
    expect(Math.max(...warmer)).toBeGreaterThan(0.3)
    expect(Math.min(...warmer)).toBeGreaterThan(-0.05)
    screw.without.forEach((value, i) => {
      expect(screw.low[i]).toBeLessThanOrEqual(value!)
      expect(screw.high[i]).toBeGreaterThanOrEqual(value!)
    })
    expect(answer.axes.map(({ axis }) => axis)).toEqual(['X'])
  })
  it('cannot be told of a source that no sensor tells of', async () => {
    const { app } = await lived()
    const url = `/api/machines/mill/what-if?from=${end - 3 * day}&to=${end}&shut=vent`
    expect((await app.inject({ url, headers: local })).json().cannotBeTold).toMatch(/vent/)
  })
})

describe('what sources would do from now on', () => {
  const learned = async () => {
    const { app, monitor } = await lived()
    monitor.now = end
    const ask = async (url: string) => (await app.inject({ url: `/api/machines/mill/${url}`, headers: local })).json()
    return { ask, app }
  }
  it('cannot be told while nothing is learned', async () => {
    const { app } = await lived(false)
    const answer = sourcesAhead.parse(
      (await app.inject({ url: '/api/machines/mill/sources-ahead', headers: local })).json(),
    )
    expect(answer.cannotBeTold).toMatch(/is not learned yet/)
    const url = `/api/machines/mill/forecast?plan=${end + 3_600_000},dock,open`
    const refused = await app.inject({ url, headers: local })
    expect(refused.statusCode).toBe(409)
    expect(refused.json().error.what).toMatch(/cannot be followed: .*not learned yet/)
  })
  it('is told of each source and the heating, and of which ones not, and why', async () => {
    const { ask } = await learned()
    const { cannotBeTold, restsOn, sources, nodes } = sourcesAhead.parse(await ask('sources-ahead'))
    expect(cannotBeTold).toBeNull()
    expect(restsOn!.days).toBeGreaterThan(9)
    const of = (id: string) => sources.find(({ source }) => source === id)!
    expect(of('dock')).toMatchObject({ active: false, cannotBeTold: null })
    const [afterOne, afterFour] = of('dock').effect!
    // opened in winter: colder, and the colder the longer
    expect(afterOne!.high).toBeLessThan(0)
    expect(afterFour!.likely).toBeLessThan(afterOne!.likely)
    // switched on it warms: that is learned, with its interval, for no thermostat takes it back here
    expect(of('oven')).toMatchObject({ active: false, cannotBeTold: null })
    expect(of('oven').effect![1]!.low).toBeGreaterThan(0)
    expect(of('vent')).toMatchObject({
      effect: null,
      cannotBeTold: expect.stringMatching(/No sensor tells when it runs/),
    })
    expect(of('shop-heating').kind).toBe('heating')
    expect(nodes).toEqual([])
  })
  it('follows a plan, and hands what it does to the air on to the forecast', async () => {
    const { ask, app } = await learned()
    const plan = `${end + 3_600_000},dock,open`
    const { nodes, step } = sourcesAhead.parse(await ask(`sources-ahead?plan=${plan}`))
    const air = nodes.find(({ node }) => node === 'air')!
    expect(step).toBe(300)
    expect(air.change[11]).toBe(0)
    expect(air.change[24]).toBeLessThan(-0.5)
    expect(air.standardUncertainty[24]).toBeGreaterThan(0.1)
    const forecast = await ask(`forecast?plan=${plan}&points=10`)
    expect(forecast.nodes[0].mean[0]).toBe(20)
    const refused = await app.inject({ url: `/api/machines/mill/forecast?plan=${end},vent,off`, headers: local })
    expect(refused.statusCode).toBe(409)
    expect(refused.json().error.what).toMatch(/Vent\. No sensor tells/)
  })
})

it.each([
  ['/api/machines/mill/forecast?plan=1,window,shut', 404, /window/],
  ['/api/machines/mill/forecast?plan=1,door,off', 400, /"1,door,off"/],
  ['/api/machines/mill/forecast?plan=1,door,shut;1,20', 400, /and what happens to sources/],
  ['/api/machines/mill/sources?axis=Q', 404, /"Q"/],
  ['/api/machines/lathe/sources', 404, /lathe/],
  ['/api/machines/mill/what-if?shut=window', 404, /window/],
  ['/api/machines/mill/what-if', 400, /./],
  ['/api/machines/mill/sources?from=2&to=1', 400, /before it begins/],
])('refuses what it cannot answer: %s', async (url, status, words) => {
  const { app } = await appFor()
  const reply = await app.inject({ url, headers: local })
  expect(reply.statusCode).toBe(status)
  expect(reply.json().error.what).toMatch(words)
})
