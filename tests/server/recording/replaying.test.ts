import { describe, expect, it } from 'vitest'
import type { Sensor } from '../../../core/shop.js'
import { createDecoder } from '../../../server/ingest/decoder.js'
import { payloadsOf } from '../../../server/recording/payload.js'
import type { Publisher } from '../../../server/recording/publisher.js'
import { replay, type Sequence } from '../../../server/recording/replaying.js'
import { readReplaySettings } from '../../../server/settings/replay.js'
import { shop } from '../http/fakes.js'

const at = Date.UTC(2026, 0, 14, 8, 30)
const like = (id: string, more: Partial<Sensor>): Sensor => ({ ...shop.sensors[0]!, id, topic: `t/${id}`, ...more })
const json = (value: string, time?: string): Extract<Sensor['payload'], { kind: 'json' }> => ({
  kind: 'json',
  value,
  ...(time && { time }),
})

describe('the payload of a reading', () => {
  const forms: [string, Sensor[]][] = [
    ['a bare number in °C', [like('a', {})]],
    ['a bare number in °F', [like('a', { unit: '°F' })]],
    ['JSON in K, with its time', [like('a', { unit: 'K', payload: json('data.temperature', 'data.at') })]],
    ['a door', [like('a', { unit: 'state', payload: json('open', 'at') })]],
    [
      'two sensors in one message',
      [
        like('a', { topic: 't', payload: json('x.value', 'time') }),
        like('b', { topic: 't', unit: '°F', payload: json('y.value', 'time') }),
      ],
    ],
    ['tenths of °F', [like('a', { unit: '°F', scale: 0.1 })]],
    [
      'a unit in the message, a place in a list',
      [like('a', { unit: 'K', payload: { ...json('v.0', 't'), unit: 'u' } })],
    ],
    ['the whole message', [like('a', { payload: json('.') })]],
    [
      'a message for each, that names its sensor',
      [
        like('a', { topic: 't', nameOnBroker: '7', payload: { ...json('v', 't'), name: 'id' } }),
        like('b', { topic: 't', payload: { ...json('v', 't'), name: 'id' } }),
      ],
    ],
    [
      'a list of readings',
      [
        like('a', { topic: 't', payload: { ...json('v', 't'), name: 'id', readings: 'data.all' } }),
        like('b', { topic: 't', payload: { ...json('v', 't'), name: 'id', readings: 'data.all' } }),
      ],
    ],
  ]
  it.each(forms)('is what the service reads back: %s', (_name, sensors) => {
    const values = sensors.map((s, i) => (s.unit === 'state' ? 1 : 20.0625 + i))
    const decode = createDecoder(sensors)
    const all = payloadsOf(sensors.map((sensor, i) => ({ sensor, at, value: values[i]! }))).map(payload =>
      decode(sensors[0]!.topic!, Buffer.from(payload), { retained: false, receivedAt: at }),
    )
    expect(all.flatMap(d => [...d.refusals, ...(d.unassigned ?? [])])).toEqual([])
    const readings = all.flatMap(d => d.readings)
    expect(readings.map(r => [r.sensor, r.at])).toEqual(sensors.map(s => [s.id, at]))
    readings.forEach((r, i) => {
      expect(r.value).toBeCloseTo(values[i]!, 5)
    })
  })

  it('takes no key of the shop file for something of the language’s own', () => {
    const sensor = like('a', { payload: json('__proto__.value') })
    expect(payloadsOf([{ sensor, at, value: 20 }])).toEqual(['{"__proto__":{"value":20}}'])
  })
})

describe('a replay', () => {
  const sequence: Sequence = {
    sensors: [like('a', { payload: json('v', 't') }), like('b', { payload: json('v', 't') })],
    of: [0, 1, 0],
    at: [at, at, at + 60_000],
    value: [20, 21, 22],
  }
  const played = async (shifted: boolean, speed: number) => {
    const sent: { topic: string; v: number; t: number }[] = []
    const publisher: Publisher = {
      published: 0,
      acknowledged: 0,
      publish(topic, payload) {
        const { v, t } = JSON.parse(payload) as { v: number; t: string }
        sent.push({ topic, v, t: Date.parse(t) })
      },
      room: async () => undefined,
      idle: async () => undefined,
    }
    const parts: number[] = []
    await replay(sequence, publisher, {
      speed,
      shifted,
      signal: new AbortController().signal,
      onPart: p => parts.push(p),
    })
    return { sent, parts }
  }

  it('keeps the times, in order, each to its topic', async () => {
    const { sent, parts } = await played(false, Number.POSITIVE_INFINITY)
    expect(sent).toEqual([
      { topic: 't/a', v: 20, t: at },
      { topic: 't/b', v: 21, t: at },
      { topic: 't/a', v: 22, t: at + 60_000 },
    ])
    expect(parts.at(-1)).toBe(1)
  })

  it('or shifts them all alike, so that none is ahead of the clock', async () => {
    const { sent } = await played(true, 600)
    expect(sent[2]!.t - sent[0]!.t).toBe(60_000)
    expect(sent[2]!.t).toBeLessThanOrEqual(Date.now())
    // the last one's time is the moment it was due at
    expect(Date.now() - sent[2]!.t).toBeLessThan(30_000)
  })
})

describe('the settings of a replay', () => {
  it('have the broker’s credentials from the environment, and sensible defaults', () => {
    const outcome = readReplaySettings(['--file', 'x.csv'], {
      QUIET_IRON_MQTT_USER: 'me',
      QUIET_IRON_MQTT_PASSWORD: 'p',
    })
    expect(outcome).toEqual({
      kind: 'settings',
      settings: {
        file: 'x.csv',
        broker: { url: 'mqtt://127.0.0.1:1883', user: 'me', password: 'p' },
        shop: null,
        speed: 1,
        shifted: false,
        from: null,
        to: null,
        loop: false,
        json: null,
      },
    })
  })

  it.each([
    [[], /--file is needed/],
    [['--file', 'x', '--speed', 'fast'], /--speed must be a number/],
    [['--file', 'x', '--speed', '0'], /--speed must be at least/],
    [['--file', 'x', '--times', 'then'], /--times must be original or now/],
    [['--file', 'x', '--loop'], /--loop needs --times now/],
    [['--file', 'x', '--broker', 'http://x'], /--broker: .*mqtt:/],
    [['--fiel', 'x'], /did you mean --file/],
  ])('%j is refused in words', (argv, problem) => {
    const outcome = readReplaySettings(argv, {})
    expect(outcome.kind === 'problems' && outcome.problems.join('\n')).toMatch(problem)
  })

  it('are told by --help', () => {
    const outcome = readReplaySettings(['--help'], {})
    expect(outcome.kind === 'help' && outcome.text).toMatch(
      /npm run replay -- \[options\][\s\S]*--speed N[\s\S]*--loop/,
    )
  })
})
