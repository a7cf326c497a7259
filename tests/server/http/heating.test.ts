import { DateTime } from 'luxon'
import { describe, expect, it } from 'vitest'
import { heatingAnswer } from '../../../core/heating/index.js'
import { appFor, everyMinute, local, now, shop } from './fakes.js'

const day = 24 * 3_600_000

const hourOf = (at: number): number => {
  const { hour: hours, minute } = DateTime.fromMillis(at, { zone: shop.timeZone })
  return hours + minute / 60
}

/** °C; air that is set back at 19:00 and heated again from 05:00 on, going either way with a time constant of half an hour. */
const setBackAir = (at: number): number => {
  const since = (from: number) => ((hourOf(at) - from + 24) % 24) / 0.5
  return since(5) < since(19) ? 20 - 4 * Math.exp(-since(5)) : 16 + 4 * Math.exp(-since(19))
}

describe('heating start', () => {
  it('tells each time the heating was set back and came again, by the air that was believed', async () => {
    const { app, store } = await appFor()
    store.kept.set('s-air', everyMinute(now - 6 * day, now, setBackAir))
    const reply = await app.inject({ url: '/api/machines/mill/setbacks', headers: local })
    const { setbacks } = reply.json()
    expect(setbacks.length).toBeGreaterThanOrEqual(4)
    for (const { back, away } of setbacks) {
      expect(back.to).toBeCloseTo(20, 0)
      expect(away?.to ?? 16).toBeCloseTo(16, 0)
      expect(Math.abs(hourOf(back.at) - 5)).toBeLessThan(0.25)
    }
  })
  it('answers for every machine, and that one is not known when a node of it is not', async () => {
    const { app } = await appFor()
    const reply = await app.inject({ url: '/api/heating', headers: local })
    const answer = heatingAnswer.parse(reply.json())
    expect(answer.machines.map(({ machine, state }) => [machine, state])).toEqual([['mill', 'unknown']])
    expect(answer.goal).toBeGreaterThan(answer.at)
  })
  it.each([
    ['/api/heating?class=nonsense', 404, /nonsense/],
    ['/api/heating?machine=nonsense', 404, /nonsense/],
    ['/api/heating?by=tomorrow', 400, /tomorrow/],
    ['/api/heating?by=2001-01-01 07:00', 400, /is over/],
  ])('refuses what it cannot answer: %s', async (url, status, words) => {
    const { app } = await appFor()
    const reply = await app.inject({ url, headers: local })
    expect(reply.statusCode).toBe(status)
    expect(reply.json().error.what).toMatch(words)
    expect(reply.json().error.remedy).not.toBe('')
  })
})
