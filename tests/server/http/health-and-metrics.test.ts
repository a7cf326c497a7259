import { describe, expect, it } from 'vitest'
import { silenceBound, unwell } from '../../../server/http/routes/health.js'
import { appFor, local, now, shop } from './fakes.js'

describe('/healthz', () => {
  const health = async (change: (f: Awaited<ReturnType<typeof appFor>>) => void) => {
    const fixture = await appFor()
    change(fixture)
    const reply = await fixture.app.inject({ url: '/healthz', headers: local })
    return { status: reply.statusCode, ...reply.json() }
  }

  it('is well while readings arrive', async () => {
    expect(await health(() => {})).toMatchObject({
      status: 'well',
      reasons: [],
      broker: 'connected',
      version: '0.0.0-test',
    })
    const { app } = await appFor()
    expect((await app.inject({ url: '/healthz', headers: local })).statusCode).toBe(200)
  })
  it('is not while the broker is away', async () => {
    const answer = await health(f => f.monitor.setBroker('away'))
    expect(answer).toMatchObject({ status: 'unwell', reasons: [expect.stringMatching(/broker is away/)] })
  })
  it('is not while readings cannot be stored, and says that instead of what follows from it', async () => {
    const answer = await health(f => {
      f.monitor.setUnstored('Readings cannot be stored: the disk is full.')
      f.monitor.setBroker('away')
    })
    expect(answer.reasons).toEqual(['Readings cannot be stored: the disk is full.'])
    expect(answer.unstored).toBe('Readings cannot be stored: the disk is full.')
  })
  it('is not while readings go missing, though others arrive', async () => {
    const answer = await health(f => f.monitor.setTrouble('clock', 'The clock of this computer is behind.'))
    expect(answer).toMatchObject({ status: 'unwell', reasons: ['The clock of this computer is behind.'] })
  })
  it('is not before the first reading', async () => {
    const answer = await health(f => {
      f.monitor.state.newestReading = null
    })
    expect(answer.reasons).toEqual([expect.stringMatching(/No reading/)])
  })
  it('is not once every sensor is silent', async () => {
    const answer = await health(f => f.monitor.advance(now + 10 * 60_000))
    expect(answer.reasons).toEqual(['No sensor has reported for 605 s.'])
  })
  it('answers 503 when it is not', async () => {
    const { app, monitor } = await appFor()
    monitor.setBroker('away')
    expect((await app.inject({ url: '/healthz', headers: local })).statusCode).toBe(503)
  })
  it('waits for two reports of an ordinary sensor, and for a minute at least', () => {
    expect(silenceBound(shop)).toBe(120_000)
    expect(silenceBound({ ...shop, sensors: shop.sensors.map(s => ({ ...s, interval: 5 })) })).toBe(60_000)
    const state = { broker: 'connected' as const, unstored: null, troubles: [], newestReading: now }
    expect(unwell(state, now + 120_000, 120_000)).toEqual([])
    expect(unwell(state, now + 120_001, 120_000)).toHaveLength(1)
  })
})

describe('/metrics', () => {
  const metrics = async (more = {}) => {
    const { app } = await appFor({}, more)
    const reply = await app.inject({ url: '/metrics', headers: local })
    return { reply, lines: reply.body.split('\n') }
  }

  it('is OpenMetrics 1.0 text', async () => {
    const { reply, lines } = await metrics()
    expect(reply.headers['content-type']).toBe('application/openmetrics-text; version=1.0.0; charset=utf-8')
    // OpenMetrics 1.0, "Overall Structure": the last line is # EOF, and no line is empty
    expect(lines.slice(-2)).toEqual(['# EOF', ''])
    const types = new Map<string, string>()
    // from memory: the grammar's "nan" and "inf" are case-insensitive
    const sample =
      /^([a-zA-Z_:][\w:]*)(\{([a-zA-Z_]\w*="([^"\\\n]|\\["\\n])*",?)*\})? (nan|[+-]?inf|-?[\d.]+(e[+-]?\d+)?)( [\d.]+)?$/i
    for (const line of lines.slice(0, -2)) {
      const type = /^# TYPE (\S+) (counter|gauge|histogram|summary|info|unknown)$/.exec(line)
      if (type) types.set(type[1]!, type[2]!)
      else if (!line.startsWith('# HELP ')) expect(line).toMatch(sample)
    }
    // a counter's family is named without, its sample with _total
    expect(types.get('quiet_iron_ingest')).toBe('counter')
    for (const [name, type] of types) if (type === 'counter') expect(name).not.toMatch(/_total$/)
    expect(lines).toContain('quiet_iron_ingest_total{what="received"} 12')
  })

  it('tells verdicts, thermal error index, sensors, pages, size and the event loop', async () => {
    const { lines } = await metrics()
    for (const line of [
      'quiet_iron_verdict{machine="mill",work_class="bores",verdict="settling"} 1',
      'quiet_iron_verdict{machine="mill",work_class="bores",verdict="fit"} 0',
      'quiet_iron_thermal_error_index_percent{machine="mill",work_class="bores"} 42.5',
      'quiet_iron_sensors{trust="ok"} 4',
      'quiet_iron_sensors{trust="lost"} 0',
      'quiet_iron_broker_connected 1',
      'quiet_iron_store_bytes 4096',
      'quiet_iron_ingest_waiting 0',
      'quiet_iron_storing 1',
      'quiet_iron_live_pages 0',
      'quiet_iron_info{version="0.0.0-test"} 1',
    ])
      expect(lines).toContain(line)
    expect(lines.some(l => l.startsWith('nodejs_eventloop_lag_seconds '))).toBe(true)
  })

  it('follows the counters instead of adding to them', async () => {
    const { app } = await appFor()
    const once = () => app.inject({ url: '/metrics', headers: local })
    await once()
    expect((await once()).body).toContain('quiet_iron_ingest_total{what="received"} 12\n')
  })
})
