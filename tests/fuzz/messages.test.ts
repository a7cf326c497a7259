import fc from 'fast-check'
import { expect, onTestFinished, test, vi } from 'vitest'
import { createDecoder } from '../../server/ingest/decoder.js'
import type { Reading, Refusal } from '../../server/ingest/reading.js'
import { reasons } from '../../server/ingest/reasons.js'
import { heapInUse } from '../heap.js'
import { startMosquitto } from '../mosquitto.js'
import { seedFor } from '../seed.js'
import { publisher, startService } from '../server/ingest/service.js'
import { temporaryFolder } from '../temporary-folder.js'
import { type Message, message, now, saidFor, sensors } from './messages.js'
import { json, mayBeAt, mayStand } from './oracle.js'

const runs = 200_000
/** bytes; stated before it was measured: what 200,000 messages may leave behind, were none of them forgotten it were more */
const heapBound = 50 * 1024 * 1024
const known = new Set<string>(Object.values(reasons))

const byId = new Map(sensors.map(each => [each.id, each]))

/** @returns what is false about a row; empty when it is legitimate */
const falsehood = (row: Reading, { topic, payload, retained, waited }: Message): string => {
  const sensor = byId.get(row.sensor)
  if (!sensor || sensor.topic !== topic) return 'of a sensor that has another topic'
  // a byte order mark is no part of the text (Unicode, 23.8)
  const text = new TextDecoder().decode(payload)
  const { value, time } = saidFor(sensor, text, json(text))
  if (!mayStand(row.value, value, sensor.unit)) return `value ${row.value} for ${JSON.stringify(value)}`
  if (!(row.at <= now + 60_000 && row.at >= 0 && Number.isInteger(row.at))) return `time ${row.at}`
  if (sensor.payload.kind === 'number')
    return retained || waited ? 'no time, and nobody knows how old' : row.at === now ? '' : 'not the time of arrival'
  return mayBeAt(row.at, time) ? '' : `time ${row.at} for ${JSON.stringify(time)}`
}

test('the oracle itself finds a false row', () => {
  const sound = { topic: 'shop/timed', retained: false, waited: false }
  const payload = new TextEncoder().encode(`{"value":20.5,"time":${now}}`)
  const row = { sensor: 'timed', at: now, value: 20.5, receivedAt: now }
  expect(falsehood(row, { ...sound, payload })).toBe('')
  expect(falsehood({ ...row, value: 20.6 }, { ...sound, payload })).toMatch(/value/)
  expect(falsehood({ ...row, at: now - 1 }, { ...sound, payload })).toMatch(/time/)
  expect(falsehood({ ...row, sensor: 'bare' }, { ...sound, payload })).toMatch(/another topic/)
  expect(mayStand(20, '68 °F', '°C')).toBe(true)
  expect(mayStand(68, '68 °F', '°C')).toBe(false)
  expect(mayStand(20, '', '°C')).toBe(false)
  expect(mayStand(1234.5, '1,234.5', '°C')).toBe(false)
})

test(`${runs} malformed messages: nothing thrown, no false row, every refusal counted, nothing kept`, () => {
  const seed = seedFor('messages')
  const decode = createDecoder(sensors)
  const counted = new Map<string, number>()
  let rows = 0
  let refused = 0
  const take = (found: Message) => {
    const delivery = { retained: found.retained, receivedAt: now, mayHaveWaited: () => found.waited }
    const { readings, refusals } = decode(found.topic, found.payload, delivery)
    // one sensor a topic: each message ends as one row or one refusal
    if (readings.length + refusals.length !== 1) throw new Error(`${readings.length} rows, ${refusals.length} refusals`)
    for (const row of readings) {
      const wrong = falsehood(row, found)
      if (wrong !== '') throw new Error(`false row: ${wrong}`)
      rows += 1
    }
    for (const refusal of refusals) {
      check(refusal)
      counted.set(refusal.reason, (counted.get(refusal.reason) ?? 0) + 1)
      refused += 1
    }
  }
  const check = ({ reason, sample, topic }: Refusal) => {
    if (!known.has(reason)) throw new Error(`reason "${reason}" is not among those that are counted`)
    if (sample.length > 200 || topic.length > 200) throw new Error('the sample is too long')
    if (/\p{Cc}/u.test(sample + topic)) throw new Error('the sample is not printable')
  }
  fc.assert(fc.property(message, take), { numRuns: 2000, seed: seed + 1 })
  rows = 0
  refused = 0
  counted.clear()
  const before = heapInUse()
  // in parts, so that what the generator itself remembers of a run does not count
  for (let part = 0; part < 20; part += 1)
    fc.assert(fc.property(message, take), { numRuns: runs / 20, seed: seed + part })
  const grown = heapInUse() - before
  const counts = [...counted].map(([reason, count]) => `${reason} ${count}`)
  console.log(`${rows} rows, ${refused} refused (${counts.join(', ')}); heap ${(grown / 1e6).toFixed(1)} MB`)
  expect(rows + refused).toBe(runs)
  expect([...counted.values()].reduce((sum, count) => sum + count, 0)).toBe(refused)
  // both kinds must have been tried in earnest
  expect(rows).toBeGreaterThan(runs / 20)
  expect(counted.size).toBeGreaterThan(8)
  expect(grown).toBeLessThan(heapBound)
}, 300_000)

test('5,000 of them through a real broker: stored, refused and counted add up, and the next reading arrives', async () => {
  const mosquitto = await startMosquitto()
  onTestFinished(() => mosquitto.remove())
  const service = startService(temporaryFolder(), mosquitto.url, sensors, () => ({ clock: () => now }))
  await vi.waitFor(() => expect(service.states.at(-1)).toBe('connected'), 10_000)
  const client = await publisher(mosquitto.url)
  const all = fc
    .sample(message, { numRuns: 8000, seed: seedFor('messages through a broker') })
    .filter(({ topic }) => sensors.some(each => each.topic === topic))
    .slice(0, 5000)
  expect(all).toHaveLength(5000)
  await Promise.all(all.map(({ topic, payload }) => client.publishAsync(topic, Buffer.from(payload), { qos: 1 })))
  await vi.waitFor(() => expect(service.ingest.stats()).toMatchObject({ received: 5000, waiting: 0 }), 30_000)
  const { stored, duplicate, refused } = service.ingest.stats()
  const refusals = Object.values(refused).reduce((sum, count) => sum + count, 0)
  expect(stored + duplicate + refusals).toBe(5000)
  const kept = service.store.refusals()
  expect(Object.fromEntries(kept.counts.map(({ reason, count }) => [reason, count]))).toEqual(refused)
  const rows = [...service.store.readings(0, Number.POSITIVE_INFINITY)]
  expect(rows).toHaveLength(stored)
  for (const row of rows) {
    const topic = byId.get(row.sensor)!.topic
    const fits = all.some(
      each => each.topic === topic && falsehood(row, { ...each, retained: false, waited: false }) === '',
    )
    expect(fits, JSON.stringify(row)).toBe(true)
  }
  await client.publishAsync('shop/timed', `{"value":21.125,"time":${now - 12_345}}`, { qos: 1 })
  await vi.waitFor(() => expect(service.ingest.stats().stored).toBe(stored + 1), 5000)
}, 60_000)
