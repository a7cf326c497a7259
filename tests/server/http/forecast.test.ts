import { describe, expect, it } from 'vitest'
import { appFor, now } from './fakes.js'

describe('GET /api/machines/:id/forecast', () => {
  it('answers for the hours asked, with the plan', async () => {
    const { app } = await appFor()
    const answer = await app.inject(`/api/machines/mill/forecast?hours=12&points=13&plan=${now + 3_600_000},20.5,1800`)
    expect(answer.statusCode).toBe(200)
    const { times, nodes } = answer.json()
    expect(times.at(-1) - times[0]).toBe(12 * 3_600_000)
    expect(nodes[0].mean[0]).toBe(20.5)
  })
  it('says what is wrong with a plan', async () => {
    const { app } = await appFor()
    const answer = await app.inject('/api/machines/mill/forecast?plan=tomorrow,warm')
    expect(answer.statusCode).toBe(400)
    expect(answer.json().error.what).toContain('Change 1 of the plan, "tomorrow,warm", cannot be read')
  })
  it('is also a table', async () => {
    const { app } = await appFor()
    const { body } = await app.inject('/api/machines/mill/forecast?points=10&format=csv')
    expect(body.split('\n')[0]).toContain('what,name,at,timeUtc,mean,standardUncertainty,unit')
    expect(body.trim().split('\n')).toHaveLength(21)
  })
  it('refuses more than 72 hours', async () => {
    const { app } = await appFor()
    expect((await app.inject('/api/machines/mill/forecast?hours=100')).statusCode).toBe(400)
  })
})
