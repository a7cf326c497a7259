import { existsSync, mkdirSync, readdirSync, writeFileSync } from 'node:fs'
import { request } from 'node:http'
import { join } from 'node:path'
import { setTimeout as wait } from 'node:timers/promises'
import { describe, expect, it } from 'vitest'
import { recordingState } from '../../../server/http/schemas/recording.js'
import type { Reading } from '../../../server/ingest/reading.js'
import { importsOf } from '../../../server/recording/imports.js'
import type { Settings } from '../../../server/settings/index.js'
import { started } from '../../serving.js'
import { temporaryFolder } from '../../temporary-folder.js'
import { shop } from './fakes.js'

const day = 86_400_000
/** Monday 2 March 2026, 08:00 UTC */
const now = Date.UTC(2026, 2, 2, 8)

/** the real service with an empty database, and its clock standing */
const serve = async (settings: Partial<Settings> = {}) => {
  const data = settings.data ?? temporaryFolder()
  const service = await started({ shop, clock: () => now }, { data, ...settings })
  const url = `${service.url.replace(/\/\/[^:/]+/, '//127.0.0.1')}/api/recording`
  const json = async (reply: Response) => ({ status: reply.status, body: await reply.json() })
  const send = async (csv: string, headers: Record<string, string> = {}) =>
    json(
      await fetch(`${url}?name=night.csv`, {
        method: 'POST',
        headers: { 'content-type': 'text/csv', ...headers },
        body: csv,
      }),
    )
  const look = async () => (await json(await fetch(url))).body
  const begin = async (id: number, body: object = {}) =>
    json(
      await fetch(`${url}/import`, {
        method: 'POST',
        headers: { 'content-type': 'application/json' },
        body: JSON.stringify({ by: 'Ada', id, ...body }),
      }),
    )
  const settled = async () => {
    for (let i = 0; i < 1000; i++) {
      const state = await look()
      if (!['receiving', 'reading', 'importing'].includes(state.stage)) return state
      await wait(10)
    }
    throw new Error('it never settled')
  }
  const stored = (from = 0, to = now + day): Reading[] => [...service.store.readings(from, to)].flat()
  return { service, data, url, send, look, begin, settled, stored }
}

const csvOf = (rows: number, from = now - day, heading = 'time,s-air,s-screw') =>
  `${heading}\n${Array.from({ length: rows }, (_, i) => `${new Date(from + i * 10_000).toISOString()},${20 + (i % 50) / 16},21.5`).join('\n')}\n`

const post = async (url: string, body: object) => {
  const reply = await fetch(url, {
    method: 'POST',
    headers: { 'content-type': 'application/json' },
    body: JSON.stringify(body),
  })
  return { status: reply.status, body: await reply.json() }
}

describe('a choice in the preview', () => {
  it('is asked for where the file does not tell, and kept for the next one of its kind', async () => {
    const { send, begin, settled, url, stored } = await serve()
    const csv = 'time,s-air\n2/1/2026 09:30,20\n'
    const { body } = await send(csv)
    expect(body.contents.datesUnclear).toBe('2/1/2026 09:30')
    expect((await begin(body.id)).status).toBe(409)
    const choices = { order: 'month first' }
    const said = await post(`${url}/choices`, { id: body.id, choices })
    expect(said.body).toMatchObject({ stage: 'ready', contents: { datesUnclear: '' }, preview: { choices } })
    expect(recordingState.parse(said.body)).toEqual(said.body)
    expect((await post(`${url}/choices`, { id: body.id + 1, choices })).status).toBe(409)
    await begin(body.id)
    await settled()
    expect(stored().map(({ at }) => at)).toEqual([Date.UTC(2026, 1, 1, 8, 30)])
    const next = await send(csv.replace('09:30', '10:30'))
    expect(next.body).toMatchObject({ contents: { datesUnclear: '' }, preview: { remembered: { by: 'Ada' } } })
  })
})

describe('an import that is taken back', () => {
  it('leaves what was there before, stays on record, and can be imported again', async () => {
    const { send, begin, settled, stored, url, service } = await serve()
    service.store.append([{ sensor: 's-air', at: now - day, value: 19, receivedAt: now }])
    const before = stored()
    const take = async () => {
      await begin((await send(csvOf(3000))).body.id)
      await settled()
    }
    await take()
    const imports = async () => (await (await fetch(`${url}/imports`)).json()).imports
    const [done] = await imports()
    expect(done).toMatchObject({ left: 5999, takenBack: null })
    const back = await post(`${url}/imports/${done.id}/take-back`, { by: 'Bea', note: 'wrong logger' })
    expect(back).toEqual({ status: 202, body: { readings: 5999 } })
    await expect.poll(stored).toEqual(before)
    await expect
      .poll(imports)
      .toMatchObject([{ left: 0, takenBack: { by: 'Bea', note: 'wrong logger', at: now }, ended: { added: 5999 } }])
    expect((await post(`${url}/imports/${done.id}/take-back`, { by: 'Bea' })).status).toBe(409)
    expect((await post(`${url}/imports/999/take-back`, { by: 'Bea' })).status).toBe(404)
    await take()
    expect(stored()).toHaveLength(6000)
  })

  it('goes on after a start anew', async () => {
    const { send, begin, settled, stored, data, service } = await serve()
    await begin((await send(csvOf(3000))).body.id)
    await settled()
    const [done] = await importsOf(service.store, 1)
    // recorded, and killed before anything was taken out
    await service.store.facts.record('import taken back', [
      { at: now, by: 'Bea', note: '', file: done!.file, import: done!.id, end: done!.end },
    ])
    expect(stored()).toHaveLength(6000)
    await service.stop()
    const again = await serve({ data })
    await expect.poll(again.stored).toEqual([])
  })
})

describe('importing a recording', () => {
  it('shows first what is in it and stores nothing; then imports it, and twice adds nothing', async () => {
    const { send, begin, settled, stored, service } = await serve()
    const alike = JSON.stringify([service.monitor.sensors(), service.monitor.machines()])
    const { status, body } = await send(csvOf(3000))
    expect(status).toBe(201)
    expect(recordingState.parse(body)).toEqual(body)
    expect(body).toMatchObject({
      stage: 'ready',
      name: 'night.csv',
      contents: { readable: true, form: 'columns', rows: 3000, readings: 6000, from: now - day, faults: [] },
    })
    expect(body.contents.sensors).toMatchObject([
      { sensor: 's-air', heading: 's-air', unit: '°C', unitWritten: false, readings: 3000, lowest: 20 },
      { sensor: 's-screw', readings: 3000, lowest: 21.5, highest: 21.5 },
    ])
    expect(body.contents.samples[0]).toMatchObject({
      line: 2,
      written: '20',
      sensor: 's-air',
      at: now - day,
      value: 20,
    })
    expect(stored()).toEqual([])

    const begun = await begin(body.id, { note: 'from the logger' })
    expect(begun.status).toBe(202)
    const after = await settled()
    expect(recordingState.parse(after)).toEqual(after)
    expect(after).toMatchObject({ stage: 'imported', by: 'Ada', outcome: { added: 6000, alreadyThere: 0 } })
    expect(stored()).toHaveLength(6000)
    expect(stored()[0]).toEqual({ sensor: 's-air', at: now - day, value: 20, receivedAt: now })
    // history is for charts and investigation; what is live goes on by itself
    expect(JSON.stringify([service.monitor.sensors(), service.monitor.machines()])).toBe(alike)

    const { imports } = await (await fetch(`${service.url}/api/recording/imports`)).json()
    expect(imports).toEqual([
      {
        ...{ left: 6000, takenBack: null },
        ...{ id: expect.any(Number), at: now, by: 'Ada', note: 'from the logger', file: 'night.csv' },
        ended: { at: now, added: 6000, alreadyThere: 0, rowsRefused: 0, valuesRefused: 0, problem: '' },
      },
    ])
    const table = await (await fetch(`${service.url}/api/recording/imports?format=csv`)).text()
    expect(table.split('\r\n')[1]).toMatch(
      /^\d+,2026-03-02T08:00:00\.000Z,Ada,night\.csv,from the logger,.*,6000,0,0,0,,,$/,
    )

    const again = await send(csvOf(3001))
    await begin(again.body.id)
    expect(await settled()).toMatchObject({ stage: 'imported', outcome: { added: 2, alreadyThere: 6000 } })
    expect(stored()).toHaveLength(6002)
  })

  it('says every row that it leaves out, as JSON and as CSV', async () => {
    const { send, begin, settled, url, stored } = await serve()
    const old = new Date(now - 91 * day).toISOString()
    const text = `time,sensor,value\n${old},s-air,20\n2026-03-02T08:30Z,s-air,20\n2026-03-01 09:00,s-air,warm\n2026-03-01 09:00,s-air,20.25\n`
    const { body } = await send(text)
    expect(body.contents).toMatchObject({ rows: 4, readings: 1, rowsRefused: 3 })
    expect(body.contents.faults).toMatchObject([
      { line: 2, column: 'time', kind: 'older than the readings kept' },
      { line: 3, column: 'time', kind: 'time in the future' },
      { line: 4, column: 'value', kind: 'value' },
    ])
    const csv = (await (await fetch(`${url}?format=csv`)).text()).split('\r\n')
    expect(csv[0]).toBe('line,column,kind,problem,remedy')
    expect(csv).toHaveLength(5)
    await begin(body.id)
    expect(await settled()).toMatchObject({ outcome: { added: 1 }, contents: { rowsRefused: 3 } })
    // Vienna is an hour ahead of UTC in winter
    expect(stored()).toMatchObject([{ sensor: 's-air', at: Date.UTC(2026, 2, 1, 8), value: 20.25 }])
  })

  it('imports nothing of a file that cannot be read, nor another file than the one that was shown', async () => {
    const { send, begin, stored } = await serve()
    const { status, body } = await send('hello\nworld\n')
    expect(status).toBe(201)
    expect(body.contents).toMatchObject({ readable: false, readings: 0 })
    expect((await begin(body.id)).status).toBe(409)
    const next = await send(csvOf(5))
    const refused = await begin(next.body.id - 1)
    expect(refused).toMatchObject({ status: 409, body: { error: { what: /Another recording/ } } })
    expect(stored()).toEqual([])
  })

  it('takes one at a time', async () => {
    const { send, begin, settled } = await serve()
    const { body } = await send(csvOf(20_000, now - 3 * day))
    const begun = await begin(body.id)
    expect(begun.body.stage).toBe('importing')
    expect((await send(csvOf(5))).status).toBe(409)
    expect(await settled()).toMatchObject({ stage: 'imported', outcome: { added: 40_000 } })
    expect((await send(csvOf(5))).status).toBe(201)
  })

  it('can be stopped; what is stored stays, is told, and the rest comes with the next time', async () => {
    const { send, begin, settled, stored, url, service } = await serve()
    const { body } = await send(csvOf(20_000, now - 3 * day))
    await begin(body.id)
    await fetch(url, { method: 'DELETE' })
    const stopped = await settled()
    expect(stopped).toMatchObject({ stage: 'stopped', problem: 'It was stopped before its end.' })
    expect(stopped.outcome.added).toBe(stored().length)
    expect(await importsOf(service.store, 1)).toMatchObject([
      { ended: { added: stopped.outcome.added, problem: 'It was stopped before its end.' } },
    ])
    expect(stopped.outcome.added).toBeLessThan(40_000)
    const again = await send(csvOf(20_000, now - 3 * day))
    await begin(again.body.id)
    const done = await settled()
    expect(done.outcome).toEqual({ added: 40_000 - stopped.outcome.added, alreadyThere: stopped.outcome.added })
  })

  it('keeps nothing of an upload that broke off', async () => {
    const { service, send, look, settled } = await serve()
    await new Promise<void>(resolve => {
      const half = request(`${service.url}/api/recording`, {
        method: 'POST',
        headers: { 'content-type': 'text/csv', 'content-length': 100_000 },
      })
      half.on('error', () => resolve())
      half.write(csvOf(100))
      setTimeout(() => half.destroy(), 200)
    })
    await settled()
    expect(await look()).toMatchObject({ stage: 'nothing', contents: null })
    expect((await send(csvOf(5))).status).toBe(201)
  })

  it('lets nobody wait for a slow upload, and keeps what was ready until another one is whole', async () => {
    const { service, send, look, data } = await serve()
    const first = await send(csvOf(5))
    const slow = request(`${service.url}/api/recording`, { method: 'POST', headers: { 'content-type': 'text/csv' } })
    slow.on('error', () => undefined)
    const answer = new Promise<number | undefined>(resolve => slow.on('response', reply => resolve(reply.statusCode)))
    slow.write(csvOf(10))
    await expect.poll(() => readdirSync(join(data, 'uploads')).length).toBe(2)
    expect(await look()).toMatchObject({ stage: 'ready', id: first.body.id })
    const other = await send(csvOf(7))
    expect(other).toMatchObject({ status: 201, body: { contents: { readings: 14 } } })
    slow.end(csvOf(10).split('\n').slice(1).join('\n'))
    expect(await answer).toBe(201)
    expect(await look()).toMatchObject({ stage: 'ready', contents: { readings: 40 } })
    expect(readdirSync(join(data, 'uploads'))).toHaveLength(1)
  })

  it('takes so many at once and no more; what is discarded is not received to its end', async () => {
    const { service, send, url, data } = await serve()
    const slow = Array.from({ length: 4 }, () => {
      const upload = request(`${service.url}/api/recording`, {
        method: 'POST',
        headers: { 'content-type': 'text/csv' },
      })
      upload.on('error', () => undefined).write(csvOf(3))
      return upload
    })
    await expect.poll(() => (existsSync(join(data, 'uploads')) ? readdirSync(join(data, 'uploads')).length : 0)).toBe(4)
    expect((await send(csvOf(5))).status).toBe(409)
    await fetch(url, { method: 'DELETE' })
    await expect.poll(() => readdirSync(join(data, 'uploads')).length).toBe(3)
    expect((await send(csvOf(5))).status).toBe(201)
    for (const upload of slow) upload.destroy()
    await expect.poll(() => readdirSync(join(data, 'uploads')).length).toBe(1)
  })

  it('cleans up at the start what a killed service had received', async () => {
    const data = temporaryFolder()
    mkdirSync(join(data, 'uploads', 'recording-abc'), { recursive: true })
    writeFileSync(join(data, 'uploads', 'recording-abc', 'recording.csv'), csvOf(100))
    await serve({ data })
    expect(existsSync(join(data, 'uploads'))).toBe(false)
  })

  it('refuses what is too large before it is sent, and other kinds of body', async () => {
    const { service, url } = await serve()
    const status = await new Promise<number | undefined>(resolve => {
      const huge = request(`${service.url}/api/recording`, {
        method: 'POST',
        headers: { 'content-type': 'text/csv', 'content-length': 200 * 1024 * 1024 },
      })
      huge.on('response', reply => {
        resolve(reply.statusCode)
        huge.destroy()
      })
      huge.on('error', () => resolve(undefined))
      huge.flushHeaders()
    })
    expect(status).toBe(413)
    const json = await fetch(url, { method: 'POST', headers: { 'content-type': 'application/json' }, body: '{}' })
    expect(json.status).toBe(415)
  })

  it('is a write: it needs the token where others can reach the service', async () => {
    const { send, stored } = await serve({ host: '0.0.0.0', token: 'x'.repeat(20) })
    expect((await send(csvOf(5))).status).toBe(401)
    expect((await send(csvOf(5), { authorization: `Bearer ${'x'.repeat(20)}` })).status).toBe(201)
    expect(stored()).toEqual([])
  })
})

describe('readings as a recording', () => {
  it('go into an empty store of another service and are the same there', async () => {
    const one = await serve()
    const readings: Reading[] = Array.from({ length: 2500 }, (_, i) => {
      const sensor = shop.sensors[i % 4]!
      const at = now - day + i * 1234
      return {
        sensor: sensor.id,
        at,
        value: sensor.unit === 'state' ? i % 2 : 20 + Math.sin(i),
        receivedAt: at + (i % 90),
      }
    })
    one.service.store.append(readings)
    const reply = await fetch(`${one.service.url}/api/readings?from=0&to=${now}`)
    expect(reply.headers.get('content-type')).toBe('text/csv; charset=utf-8')
    expect(reply.headers.get('content-disposition')).toMatch(/attachment/)

    const two = await serve()
    const { body } = await two.send(await reply.text())
    expect(body.contents).toMatchObject({ form: 'rows', readings: 2500, faults: [] })
    await two.begin(body.id)
    expect(await two.settled()).toMatchObject({ outcome: { added: 2500, alreadyThere: 0 } })
    expect(two.stored()).toEqual(one.stored())
  })

  it('are those of the sensors and the time asked for', async () => {
    const { service } = await serve()
    for (const sensor of ['s-air', 's-screw'])
      service.store.append([1, 2, 3].map(i => ({ sensor, at: now - i * 60_000, value: i, receivedAt: now })))
    const rows = async (query: string) =>
      (await (await fetch(`${service.url}/api/readings?${query}`)).text()).trim().split('\r\n').slice(1)
    expect(await rows('')).toHaveLength(6)
    expect(await rows('sensors=s-air')).toHaveLength(3)
    expect(await rows(`sensors=s-air,s-screw&from=${now - 2 * 60_000}&to=${now - 60_000}`)).toEqual([
      '2026-03-02T07:58:00.000Z,s-air,2,°C,2026-03-02T08:00:00.000Z',
      '2026-03-02T07:58:00.000Z,s-screw,2,°C,2026-03-02T08:00:00.000Z',
    ])
    expect((await fetch(`${service.url}/api/readings?sensors=boiler`)).status).toBe(404)
  })
})
