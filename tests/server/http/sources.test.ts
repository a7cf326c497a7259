import { describe, expect, it } from 'vitest'
import { sourcesAnswer, whatIfAnswer } from '../../../core/shop-model/index.js'
import { courses, end, shop, told } from '../studies/shop-model/hall-shop.js'
import { appFor, local } from './fakes.js'

const day = 86_400_000

/** The service over ten days of an invented hall. */
const lived = async () => {
  const found = await appFor({}, { shop, clock: () => end })
  for (const [sensor, values] of told)
    found.store.kept.set(sensor, {
      level: 'minute',
      points: [...values].map((mean, i) => ({ at: courses.from + i * 300_000, count: 1, mean, min: mean, max: mean })),
    })
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
    expect(answer.restsOn).toMatchObject({ stored: false, days: 10 })
    expect(answer.causes.map(({ id }) => id)).toEqual(expect.arrayContaining(['dock', 'oven', 'outdoors', 'week']))
    expect(answer.causes.at(-1)!.id).toBe('unexplained')
    expect(answer.causes.find(({ id }) => id === 'vent')).toMatchObject({ knownBy: 'not at all', active: null })
    expect(answer.openings[0]).toMatchObject({ source: 'dock' })
    expect(answer.openings[0]!.responses.map(({ of }) => of)).toEqual(['air', 'growth'])
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

it.each([
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
