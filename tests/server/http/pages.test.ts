import { mkdirSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { temporaryFolder } from '../../temporary-folder.js'
import { appFor, local } from './fakes.js'

const built = () => {
  const folder = temporaryFolder()
  mkdirSync(join(folder, 'assets'))
  writeFileSync(join(folder, 'index.html'), '<!doctype html><title>pages</title>')
  writeFileSync(join(folder, 'assets', 'index-a1b2c3.js'), 'export {}')
  writeFileSync(join(folder, 'icon.svg'), '<svg xmlns="http://www.w3.org/2000/svg"/>')
  writeFileSync(join(folder, '.hidden'), 'secret')
  return folder
}

describe('pages', () => {
  it.each([
    '/',
    '/machine/mill',
    '/machine/mill?span=day',
    '/machine/mill/environment?window=4h',
    '/sensors',
    '/calibration',
    '/about',
  ])('%s is the one document', async url => {
    const { app } = await appFor({ pages: built() })
    const reply = await app.inject({ url, headers: { ...local, accept: 'text/html' } })
    expect(reply.statusCode).toBe(200)
    expect(reply.headers['content-type']).toMatch(/^text\/html/)
    expect(reply.headers['cache-control']).toBe('no-cache')
    expect(reply.body).toContain('<title>pages</title>')
  })

  it('keeps files named after their content for ever, and asks again for the others', async () => {
    const { app } = await appFor({ pages: built() })
    const asset = await app.inject({ url: '/assets/index-a1b2c3.js', headers: local })
    expect(asset.headers['cache-control']).toBe('public, max-age=31536000, immutable')
    expect(asset.headers['content-type']).toMatch(/javascript/)
    const icon = await app.inject({ url: '/icon.svg', headers: local })
    expect(icon.headers['cache-control']).toBe('no-cache')
    const again = await app.inject({
      url: '/icon.svg',
      headers: { ...local, 'if-none-match': String(icon.headers.etag) },
    })
    expect(again.statusCode).toBe(304)
  })

  it.each([
    '/machine',
    '/machine/a/b',
    '/assets/none.js',
    '/.hidden',
    '/../package.json',
    '/%2e%2e/package.json',
    '/assets',
  ])('%s is not there', async url => {
    const { app } = await appFor({ pages: built() })
    expect((await app.inject({ url, headers: local })).statusCode).toBe(404)
  })

  it('answers a browser at a mistyped address with the document, which says so; a program with JSON', async () => {
    const { app } = await appFor({ pages: built() })
    const browser = { ...local, accept: 'text/html,application/xhtml+xml,*/*;q=0.8' }
    const page = await app.inject({ url: '/machnie/mill', headers: browser })
    expect(page.statusCode).toBe(404)
    expect(page.headers['content-type']).toMatch(/^text\/html/)
    expect(page.body).toContain('<title>pages</title>')
    for (const { url, headers } of [
      { url: '/machnie/mill', headers: local },
      { url: '/api/nothing', headers: browser },
    ]) {
      const answer = await app.inject({ url, headers })
      expect(answer.statusCode).toBe(404)
      expect(answer.json().error.what).toContain(url)
    }
  })

  it('says what to do when the pages are not built', async () => {
    const { app } = await appFor({ pages: temporaryFolder() })
    const reply = await app.inject({ url: '/', headers: local })
    expect(reply.statusCode).toBe(503)
    expect(reply.json().error.remedy).toMatch(/npm run build/)
  })
})

describe('security headers', () => {
  it('stand on pages, answers and failures alike', async () => {
    const { app } = await appFor({ pages: built() })
    for (const url of ['/', '/assets/index-a1b2c3.js', '/api/machines', '/nothing', '/metrics']) {
      const { headers } = await app.inject({ url, headers: local })
      const policy = String(headers['content-security-policy'])
      for (const rule of [
        "default-src 'self'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self' data:",
        "connect-src 'self'",
        "object-src 'none'",
        "frame-ancestors 'none'",
      ])
        expect(policy.split(';')).toContain(rule)
      expect(policy).not.toMatch(/unsafe|upgrade-insecure|http:|\*/)
      expect(headers['x-content-type-options']).toBe('nosniff')
      expect(headers['strict-transport-security']).toBeUndefined()
      expect(headers['access-control-allow-origin']).toBeUndefined()
    }
  })
})
