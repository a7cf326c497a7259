import { describe, expect, it } from 'vitest'
import { isLoopback } from '../../../server/http/plugins/access.js'
import { writesPerMinute } from '../../../server/http/plugins/write-limit.js'
import { appFor, local } from './fakes.js'

const token = 'k'.repeat(43)

const post = (app: Awaited<ReturnType<typeof appFor>>['app'], headers: Record<string, string> = {}) =>
  app.inject({
    method: 'POST',
    url: '/api/machines/mill/datums',
    headers: { ...local, ...headers },
    payload: { by: 'Ada' },
  })

describe('isLoopback', () => {
  it.each(['127.0.0.1', '127.1.2.3', '::1', '[::1]', 'localhost', 'LOCALHOST'])('%s is', host =>
    expect(isLoopback(host)).toBe(true),
  )
  it.each(['0.0.0.0', '::', '192.168.1.5', '127.0.0.1.example', 'localhost.example', '1270.0.0.1', ''])(
    '%s is not',
    host => expect(isLoopback(host)).toBe(false),
  )
})

describe('on loopback', () => {
  it('takes a write from its own page, and from a program', async () => {
    const { app } = await appFor()
    expect((await post(app)).statusCode).toBe(201)
    const own = { origin: 'http://127.0.0.1:7420', 'sec-fetch-site': 'same-origin' }
    expect((await post(app, own)).statusCode).toBe(201)
  })

  it.each([
    [{ origin: 'https://elsewhere.example' }],
    [{ origin: 'http://127.0.0.1:9999' }],
    [{ origin: 'null' }],
    [{ 'sec-fetch-site': 'cross-site' }],
    [{ 'sec-fetch-site': 'same-site', origin: 'http://127.0.0.1:7420' }],
  ])('refuses a write from another site: %o', async headers => {
    const { app, store } = await appFor()
    const reply = await post(app, headers as Record<string, string>)
    expect(reply.statusCode).toBe(403)
    expect(reply.json().error.where).toMatch(/Origin/)
    expect(await store.facts.of('datum')).toEqual([])
  })

  it.each([
    'elsewhere.example',
    'elsewhere.example:7420',
    '127.0.0.1.elsewhere.example',
    '192.168.1.9:7420',
    'user@elsewhere.example',
  ])('answers nothing under a foreign host name (DNS rebinding): %s', async host => {
    const { app } = await appFor()
    for (const url of ['/api/machines', '/', '/api/live', '/metrics', '/nothing']) {
      const reply = await app.inject({ url, headers: { host } })
      expect(reply.statusCode).toBe(403)
      expect(reply.json().error.where).toMatch(/Host/)
    }
  })

  it.each(['localhost:7420', '127.0.0.1', '[::1]:7420'])('answers as %s', async host => {
    const { app } = await appFor()
    expect((await app.inject({ url: '/api/machines', headers: { host } })).statusCode).toBe(200)
  })

  it('wants the token for what a proxy forwards', async () => {
    const { app, store } = await appFor({ token })
    expect((await post(app, { 'x-forwarded-for': '10.0.0.9' })).statusCode).toBe(401)
    expect((await post(app, { forwarded: 'for=10.0.0.9' })).statusCode).toBe(401)
    expect(await store.facts.of('datum')).toEqual([])
    expect((await post(app, { 'x-forwarded-for': '10.0.0.9', authorization: `Bearer ${token}` })).statusCode).toBe(201)
  })

  it('says that there is no token when a proxy forwards and none was set', async () => {
    const { app } = await appFor()
    const reply = await post(app, { 'x-forwarded-for': '10.0.0.9' })
    expect(reply.statusCode).toBe(401)
    expect(reply.json().error.remedy).toMatch(/QUIET_IRON_TOKEN/)
  })
})

describe('listening elsewhere', () => {
  it.each(['0.0.0.0', '::', '192.168.1.5'])('refuses every write without the token: %s', async host => {
    const { app, store } = await appFor({ host, token })
    const without = await post(app)
    expect(without.statusCode).toBe(401)
    expect(without.headers['www-authenticate']).toBe('Bearer')
    expect(without.json().error).toEqual({
      what: 'Writing needs the token.',
      where: 'header "Authorization"',
      remedy: expect.stringMatching(/Bearer TOKEN/),
    })
    for (const authorization of [`Bearer ${token}x`, `Bearer ${token.slice(1)}`, 'Bearer', `Basic ${token}`, token])
      expect((await post(app, { authorization })).statusCode).toBe(401)
    expect(await store.facts.of('datum')).toEqual([])
  })

  it('takes a write with it', async () => {
    const { app } = await appFor({ host: '0.0.0.0', token })
    expect((await post(app, { authorization: `Bearer ${token}` })).statusCode).toBe(201)
  })

  it('takes no write at all when it has no token', async () => {
    const { app } = await appFor({ host: '0.0.0.0', token: null })
    for (const authorization of ['', 'Bearer null', 'Bearer undefined', 'Bearer '])
      expect((await post(app, { authorization })).statusCode).toBe(401)
  })

  it('refuses any method that could write, at any address', async () => {
    const { app } = await appFor({ host: '0.0.0.0', token })
    for (const method of ['POST', 'PUT', 'PATCH', 'DELETE'] as const)
      for (const url of ['/api/machines/mill/datums', '/api/machines', '/nothing'])
        expect([method, url, (await app.inject({ method, url })).statusCode]).toEqual([method, url, 401])
  })

  it('lets everyone read, under any name, and says that writes need the token', async () => {
    const { app } = await appFor({ host: '0.0.0.0', token })
    const reply = await app.inject({ url: '/api/shop', headers: { host: 'shop.example' } })
    expect(reply.statusCode).toBe(200)
    expect(reply.json().writesNeedToken).toBe(true)
    expect(reply.body).not.toContain(token)
  })

  it('slows whoever guesses, and nobody else for it', async () => {
    const { app } = await appFor({ host: '0.0.0.0', token })
    const answers = []
    for (let i = 0; i <= writesPerMinute; i++)
      answers.push((await post(app, { authorization: 'Bearer guess' })).statusCode)
    expect(answers.slice(0, -1)).toEqual(Array(writesPerMinute).fill(401))
    expect(answers.at(-1)).toBe(429)
    // whoever has the token has writes of his own, as many as ever
    const taken = []
    for (let i = 0; i <= writesPerMinute; i++)
      taken.push((await post(app, { authorization: `Bearer ${token}` })).statusCode)
    expect(taken.slice(0, -1)).toEqual(Array(writesPerMinute).fill(201))
    expect(taken.at(-1)).toBe(429)
    const reply = await post(app, { authorization: `Bearer ${token}` })
    expect(reply.json().error.remedy).toMatch(/Wait \d+ s/)
    expect((await app.inject({ url: '/api/machines' })).statusCode).toBe(200)
  })
})
