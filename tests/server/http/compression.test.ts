import { mkdirSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { brotliCompressSync, brotliDecompressSync, gunzipSync, gzipSync } from 'node:zlib'
import { describe, expect, it } from 'vitest'
import { takesGzip } from '../../../server/http/plugins/compression.js'
import { temporaryFolder } from '../../temporary-folder.js'
import { appFor, everyMinute, local, now } from './fakes.js'

const browser = { ...local, 'accept-encoding': 'gzip, deflate, br' }
const day = 86_400_000

describe('answers', () => {
  it.each(['/api/series?sensors=s-air', '/api/series?sensors=s-air&format=csv', '/metrics', '/api/openapi.json'])(
    '%s travels compressed, and says the same',
    async url => {
      const { app, store } = await appFor()
      store.kept.set(
        's-air',
        everyMinute(now - day, now, at => 20 + Math.sin(at / 1e6)),
      )
      const plain = await app.inject({ url, headers: local })
      expect(plain.headers['content-encoding']).toBeUndefined()
      expect(plain.headers.vary).toBe('accept-encoding')
      const small = await app.inject({ url, headers: browser })
      expect(small.headers['content-encoding']).toBe('gzip')
      expect(small.headers['content-type']).toBe(plain.headers['content-type'])
      expect(small.rawPayload.length).toBeLessThan(plain.rawPayload.length / 2)
      const said = gunzipSync(small.rawPayload).toString()
      if (url !== '/metrics') expect(said).toBe(plain.body)
      else expect(said).toMatch(/# EOF\n$/)
    },
  )

  it('are left alone when they are short, or the reader does not take gzip', async () => {
    const { app } = await appFor()
    const short = await app.inject({ url: '/healthz', headers: browser })
    expect(short.headers['content-encoding']).toBeUndefined()
    expect(short.json().status).toBe('well')
    const other = await app.inject({ url: '/api/shop', headers: { ...local, 'accept-encoding': 'gzip;q=0, br' } })
    expect(other.headers['content-encoding']).toBeUndefined()
  })

  it('of an export travel compressed as they come', async () => {
    const { app, store } = await appFor()
    const at = now - 3_600_000
    const readings = Array.from({ length: 2000 }, (_, i) => ({
      sensor: 's-air',
      at: at + i * 1000,
      value: 20 + i / 16,
      receivedAt: at + i * 1000,
    }))
    store.readings = () => [readings.slice(0, 1000), readings.slice(1000)]
    const reply = await app.inject({ url: '/api/readings', headers: browser })
    expect(reply.headers['content-encoding']).toBe('gzip')
    const rows = gunzipSync(reply.rawPayload).toString().split('\r\n')
    expect(rows).toHaveLength(2002)
    expect(reply.rawPayload.length).toBeLessThan(rows.join('\r\n').length / 5)
  })
})

it.each([
  ['gzip', true],
  ['br, GZIP;q=0.5', true],
  ['*', true],
  ['*;q=0', false],
  ['gzip;q=0, *', false],
  ['br', false],
  ['', false],
])('"accept-encoding: %s" takes gzip: %s', (accepted, takes) => expect(takesGzip(accepted)).toBe(takes))

describe('pages', () => {
  const built = () => {
    const folder = temporaryFolder()
    mkdirSync(join(folder, 'assets'))
    for (const [name, text] of [
      ['index.html', `<!doctype html><title>pages</title>${'<p>same</p>'.repeat(100)}`],
      ['assets/index-a1b2c3.js', 'export {}\n'.repeat(500)],
    ] as const) {
      writeFileSync(join(folder, name), text)
      writeFileSync(join(folder, `${name}.gz`), gzipSync(text))
      writeFileSync(join(folder, `${name}.br`), brotliCompressSync(text))
    }
    return folder
  }

  it.each(['/', '/machine/mill', '/assets/index-a1b2c3.js'])('%s comes as the build compressed it', async url => {
    const { app } = await appFor({ pages: built() })
    const plain = await app.inject({ url, headers: local })
    expect(plain.headers['content-encoding']).toBeUndefined()
    for (const [accepted, unpacked] of [
      ['gzip, deflate, br', brotliDecompressSync],
      ['gzip', gunzipSync],
    ] as const) {
      const reply = await app.inject({ url, headers: { ...local, 'accept-encoding': accepted } })
      expect(reply.headers['content-encoding']).toBe(accepted === 'gzip' ? 'gzip' : 'br')
      expect(reply.headers.vary).toMatch(/accept-encoding/i)
      expect(reply.headers['content-type']).toBe(plain.headers['content-type'])
      expect(reply.headers['cache-control']).toBe(plain.headers['cache-control'])
      expect(unpacked(reply.rawPayload).toString()).toBe(plain.body)
    }
  })
})
