import { describe, expect, it } from 'vitest'
import { appFor, local, now } from './fakes.js'

const hour = 3_600_000

const atTheMachine = async () => {
  const { app } = await appFor()
  const url = '/api/machines/mill/work-changes'
  const get = async (address = url) => (await app.inject({ url: address, headers: local })).json()
  const post = (payload: object, path = '') => app.inject({ method: 'POST', url: url + path, headers: local, payload })
  return { app, get, post, url }
}
const smaller = { by: 'Ada', kind: 'offset', time: new Date(now - 2 * hour).toISOString(), axis: 'X', larger: '-5 µm' }

describe('changes that the shop enters', () => {
  it('are kept with who, when and what, and stand in what happened', async () => {
    const { get, post, app, url } = await atTheMachine()
    const reply = await post({ ...smaller, what: 'wear of T4', note: 'bores too large' })
    expect(reply.statusCode).toBe(201)
    expect((await post({ by: 'Ben', kind: 'tool', what: 'T4' })).json()).toMatchObject({ at: now, larger: null })
    expect((await get()).changes).toMatchObject([
      { kind: 'offset', at: now - 2 * hour, axis: 'X', larger: -5e-6, by: 'Ada', note: 'bores too large' },
      { kind: 'tool', what: 'T4' },
    ])
    const { marks } = await get(`/api/machines/mill/happened?from=${now - 3 * hour}&to=${now - hour}`)
    expect(marks).toMatchObject([{ kind: 'work change', change: { kind: 'offset', larger: -5e-6 } }])
    const table = (await app.inject({ url: `${url}?format=csv`, headers: local })).body
    expect(table.trimEnd().split('\r\n')).toHaveLength(3)
    const events = await app.inject({
      url: `/api/machines/mill/happened?from=${now - 3 * hour}&to=${now - hour}&format=csv&table=events`,
      headers: local,
    })
    expect(events.body).toContain('Offset of X changed: parts smaller by 5.0 µm (wear of T4)')
  })
  it('can be taken back once, and stay gone', async () => {
    const { get, post } = await atTheMachine()
    const { id } = (await post(smaller)).json()
    expect((await post({ by: 'Ada', note: 'wrong machine' }, `/${id}/take-back`)).json()).toEqual({ changes: [] })
    expect((await get()).changes).toEqual([])
    expect((await post({ by: 'Ada' }, `/${id}/take-back`)).statusCode).toBe(404)
  })
  it.each([
    [{ ...smaller, larger: undefined }, /by how much/],
    [{ ...smaller, larger: '5' }, /unit/],
    [{ ...smaller, kind: 'tool' }, /Only an offset/],
    [{ ...smaller, axis: 'Q' }, /no axis "Q"/],
    [{ ...smaller, time: new Date(now + hour).toISOString() }, /lies ahead/],
    [{ ...smaller, time: 'lately' }, /lately/],
    [{ ...smaller, by: '' }, /who/],
  ])('are refused with what is wrong: %#', async (entry, problem) => {
    const { get, post } = await atTheMachine()
    const reply = await post(entry)
    expect([400, 404]).toContain(reply.statusCode)
    const { what, remedy } = reply.json().error
    expect(`${what} ${remedy}`).toMatch(problem)
    expect((await get()).changes).toEqual([])
  })
})
