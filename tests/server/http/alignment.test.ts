import { describe, expect, it } from 'vitest'
import { appFor, everyMinute, local, now } from './fakes.js'

const hour = 3_600_000

const atTheMachine = async (screw: (at: number) => number = () => 22) => {
  const { app, store } = await appFor()
  store.kept.set(
    's-air',
    everyMinute(now - 6 * hour, now, () => 21),
  )
  store.kept.set('s-screw', everyMinute(now - 6 * hour, now, screw))
  store.kept.set(
    's-column',
    everyMinute(now - 6 * hour, now, () => 21),
  )
  const url = '/api/machines/mill/alignment'
  const get = async () => (await app.inject({ url, headers: local })).json()
  const post = (payload: object, path = '') => app.inject({ method: 'POST', url: url + path, headers: local, payload })
  return { get, post }
}

const levelled = {
  by: 'Ada',
  kind: 'level',
  instrument: 'level 0.02 mm/m, no. 12',
  readings: [{ direction: 'along X', value: '0.02 mm/m', reversed: '-0.012 mm/m' }],
  due: '2026-01-10',
}

describe('alignment checks', () => {
  it('are kept with the thermal state of their time, and when they are due again', async () => {
    const { get, post } = await atTheMachine()
    const reply = await post(levelled)
    expect(reply.statusCode).toBe(201)
    expect(reply.json()).toMatchObject({
      readings: [{ direction: 'along X', value: 20e-6, reversed: -12e-6 }],
      moving: null,
      at: now,
    })
    expect(reply.json().temperatures).toMatchObject({ air: 21 })
    const { checks, due, follows } = await get()
    expect(checks).toHaveLength(1)
    expect(due).toEqual([{ kind: 'level', due: '2026-01-10', overdue: true }])
    expect(follows).toMatchObject([{ kind: 'level', direction: 'along X', finding: 'cannot be told', checks: 1 }])
  })
  it('say which body was still on its way', async () => {
    const { post } = await atTheMachine(at => 22 + (at - now) / hour)
    const { moving } = (await post({ ...levelled, time: new Date(now - 2 * hour).toISOString() })).json()
    expect(moving.node).toBe('x-screw')
    expect(moving.change).toBeCloseTo(1, 1)
  })
  it('can be taken back once, and stay gone', async () => {
    const { get, post } = await atTheMachine()
    const { id } = (await post(levelled)).json()
    expect((await post({ by: 'Ada', note: 'wrong machine' }, `/${id}/take-back`)).json()).toEqual({ checks: [] })
    expect((await get()).checks).toEqual([])
    expect((await post({ by: 'Ada' }, `/${id}/take-back`)).statusCode).toBe(404)
  })
  it.each([
    [{ readings: [{ direction: 'along X', value: '0.02' }] }, /0\.02/],
    [{ time: '2099-01-01 06:00' }, /lies ahead/],
    [{ readings: [] }, /./],
    [{ due: 'soon' }, /./],
  ])('are refused with a reason and a remedy: %j', async (change, words) => {
    const { post, get } = await atTheMachine()
    const reply = await post({ ...levelled, ...change })
    expect(reply.statusCode).toBe(400)
    expect(JSON.stringify(reply.json())).toMatch(words)
    expect((await get()).checks).toEqual([])
  })
})
