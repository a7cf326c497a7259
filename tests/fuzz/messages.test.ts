import fc from 'fast-check'
import { expect, it, onTestFinished } from 'vitest'
import { createDecoder, type Decoded } from '../../server/ingest/decoder.js'
import type { Reading, Refusal } from '../../server/ingest/reading.js'
import { reasons } from '../../server/ingest/reasons.js'
import { eventually } from '../eventually.js'
import { heapInUse } from '../heap.js'
import { startMosquitto } from '../mosquitto.js'
import { seedFor } from '../seed.js'
import { publisher, startService } from '../server/ingest/service.js'
import { bdSeq, data, payload } from '../server/ingest/sparkplug.js'
import { temporaryFolder } from '../temporary-folder.js'
import { followEdgeNode } from './edge-node.js'
import { type Claim, expected, falseRows } from './expected.js'
import { message } from './messages.js'
import { json, levelOf, mayBeAt, mayStand } from './oracle.js'
import { type Message, now, radio, sensors, topics } from './shop.js'

const runs = 200_000
/** bytes; stated before it was measured: what 200,000 messages may leave behind, were none of them forgotten it were more */
const heapBound = 50 * 1024 * 1024
const known = new Set<string>(Object.values(reasons))

const arrivalOf = ({ retained, waited }: Message): number | null => (retained || waited ? null : now)

/** @returns what is false about the rows of a message; empty when all are legitimate */
const falsehood = (rows: readonly Reading[], claims: readonly Claim[], found: Message): string => {
  const [wrong] = falseRows(rows, claims, arrivalOf(found))
  if (wrong) return JSON.stringify(wrong)
  const odd = rows.find(
    ({ at, receivedAt }) => !(at <= now + 60_000 && at >= 0 && Number.isInteger(at) && receivedAt === now),
  )
  return odd ? `time of ${JSON.stringify(odd)}` : ''
}

/** @returns what is false about battery and signal; empty when each is as its message says, or refused and counted */
const falseCondition = ({ readings, refusals, conditions = [] }: Decoded, { topic, payload }: Message): string => {
  if (topic !== radio.topic) return conditions.length > 0 ? 'of a sensor that tells nothing' : ''
  const said = json(new TextDecoder().decode(payload)) as Record<string, unknown> | undefined
  const [told, more] = conditions
  if (more || (told && told.sensor !== radio.id)) return 'more than there is'
  for (const [key, unit, least, most, found, reason] of [
    ['battery', '%', 0, 100, told?.battery, reasons.badBattery],
    ['rssi', 'dBm', -200, 30, told?.signal, reasons.badSignal],
  ] as const) {
    const raw = said?.[key]
    const refused = refusals.filter(each => each.reason === reason).length
    const right = levelOf(raw, unit, least, most)
    if (found && (found.value !== right || !mayBeAt(found.at, said?.time))) return `${JSON.stringify(found)}`
    if (refused > (right === null && raw !== undefined && raw !== null ? 1 : 0)) return `${key} refused for nothing`
    // with a row of the same message its time is known to be good
    if (readings.length > 0 && raw !== undefined && raw !== null && refused + (found ? 1 : 0) !== 1)
      return `${key} ${JSON.stringify(raw)} dropped in silence`
  }
  return told?.battery && told.battery.low !== told.battery.value <= 20 ? 'low or not' : ''
}

it('the oracle itself finds a false row', () => {
  const message = (topic: string, said: unknown): Message => ({
    topic,
    payload: new TextEncoder().encode(JSON.stringify(said)),
    retained: false,
    waited: false,
  })
  const judged = (found: Message, rows: Partial<Reading>[]) =>
    falsehood(
      rows.map(row => ({ sensor: 'timed', at: now, value: 20.5, receivedAt: now, ...row })),
      expected(found.topic, found.payload).claims,
      found,
    )
  const sound = message('shop/timed', { value: 20.5, time: now })
  expect(judged(sound, [{}])).toBe('')
  for (const wrong of [{ value: 20.6 }, { at: now - 1 }, { sensor: 'bare' }, { receivedAt: now - 1 }])
    expect(judged(sound, [wrong])).not.toBe('')
  expect(judged(sound, [{}, {}])).not.toBe('')
  const list = message('list/named', {
    data: {
      list: [
        { id: 'A 1', v: 20.5, t: now },
        { id: 7, v: 68, t: now },
      ],
    },
  })
  expect(judged(list, [{ sensor: 'first' }, { sensor: 'second', value: 20 }])).toBe('')
  expect(judged(list, [{ sensor: 'first', value: 20 }])).not.toBe('')
  expect(judged(list, [{ sensor: 'second', value: 20.5 }])).not.toBe('')
  const box = message('gateway/west/box_1', {
    data: [
      { id: 7, t: [2050], at: now, u: '°F' },
      { id: 'Ö', t: [68], at: now },
    ],
  })
  expect(
    judged(box, [
      { sensor: 'box-7', value: (173 * 5) / 9 },
      { sensor: 'box-x', value: 20 },
    ]),
  ).toBe('')
  expect(judged(box, [{ sensor: 'box-x', value: 68 }])).not.toBe('')
  expect(mayStand(20, '68 °F', '°C')).toBe(true)
  expect(mayStand(68, '68 °F', '°C')).toBe(false)
  expect(mayStand(20, '', '°C')).toBe(false)
  expect(mayStand(1234.5, '1,234.5', '°C')).toBe(false)
})

it('the oracle itself finds a false row of an edge node', () => {
  const node = followEdgeNode()
  const take = (topic: string, bytes: Uint8Array, row: Partial<Reading>) => {
    const { claims = [], outcomes = 0 } = node.expected(`spBv1.0/g/${topic}`, bytes) ?? {}
    const full = { sensor: 'screw', at: now - 5, value: -5, receivedAt: now, ...row }
    return [falseRows([full], claims, now).length === 0, outcomes]
  }
  const born = payload([{ name: 'Screw', alias: 3, type: 'Int8', value: -5, timestamp: now - 5 }], 1, now)
  const sent = data([{ alias: 3, type: 'Int8', value: -6, timestamp: now - 4 }], 2)
  expect(take('DBIRTH/n/d', born, {})).toEqual([false, 1])
  expect(take('NBIRTH/n', payload([bdSeq(0)], 0, now), {})).toEqual([false, 0])
  expect(take('DBIRTH/n/d', born, {})).toEqual([true, 1])
  expect(take('DDATA/n/d', sent, { value: -6, at: now - 4 })).toEqual([true, 1])
  expect(take('DDATA/n/d', sent, { value: 250, at: now - 4 })).toEqual([false, 1])
  expect(take('DDATA/n/d', sent, { value: -6 })).toEqual([false, 1])
  expect(take('DDATA/n/e', sent, { value: -6, at: now - 4 })).toEqual([false, 1])
  expect(take('NDEATH/n', payload([bdSeq(1)]), {})).toEqual([false, 1])
  expect(take('DDATA/n/d', sent, { value: -6, at: now - 4 })).toEqual([true, 1])
  expect(take('NDEATH/n', payload([bdSeq(0)]), {})).toEqual([false, 0])
  expect(take('DDATA/n/d', sent, { value: -6, at: now - 4 })).toEqual([false, 1])
})

it(`${runs} malformed messages: nothing thrown, no false row, nothing dropped in silence, every refusal counted, nothing kept`, () => {
  const seed = seedFor('messages')
  const decode = createDecoder(sensors, topics)
  const node = followEdgeNode()
  const counted = new Map<string, number>()
  const rowsOf = new Map<string, number>()
  let rows = 0
  let refused = 0
  const take = (found: Message) => {
    const { topic, payload: bytes, retained, waited } = found
    const decoded = decode(topic, bytes, { retained, receivedAt: now, mayHaveWaited: () => waited })
    const { readings, refusals, unassigned = [] } = decoded
    const ofNode = node.expected(topic, bytes)
    const { claims, outcomes } = ofNode ?? expected(topic, bytes)
    const wrong = falsehood(readings, claims, found) || falseCondition(decoded, found)
    if (wrong !== '') throw new Error(`false: ${wrong}`)
    const beside = refusals.filter(({ reason }) => reason === reasons.badBattery || reason === reasons.badSignal).length
    const ended = readings.length + refusals.length - beside + (ofNode ? 0 : unassigned.length)
    if (ended !== outcomes) throw new Error(`${ended} outcomes, not ${outcomes}`)
    for (const row of readings) rowsOf.set(row.sensor, (rowsOf.get(row.sensor) ?? 0) + 1)
    rows += readings.length
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
  // what an edge node says depends on what it said before: a failure cannot be made smaller by trying parts of it again
  const run = (numRuns: number, from: number) =>
    fc.assert(fc.property(message, take), { numRuns, seed: from, endOnFailure: true })
  run(2000, seed + 1)
  rows = 0
  refused = 0
  counted.clear()
  rowsOf.clear()
  const before = heapInUse()
  // in parts, so that what the generator itself remembers of a run does not count
  for (let part = 0; part < 20; part += 1) run(runs / 20, seed + part)
  const grown = heapInUse() - before
  const counts = [...counted].map(([reason, count]) => `${reason} ${count}`)
  console.log(
    `${rows} rows (${[...rowsOf].map(([id, count]) => `${id} ${count}`).join(', ')}), ${refused} refused ` +
      `(${counts.join(', ')}); heap ${(grown / 1e6).toFixed(1)} MB`,
  )
  // every dialect must have been tried in earnest, and every way of being refused but the one for old readings
  expect(sensors.filter(({ id }) => (rowsOf.get(id) ?? 0) < 50)).toEqual([])
  expect(rows).toBeGreaterThan(runs / 20)
  expect(counted.size).toBeGreaterThan(20)
  expect(grown).toBeLessThan(heapBound)
})

it('5,000 of them through a real broker: stored, refused and counted add up, and the next reading arrives', async () => {
  const mosquitto = await startMosquitto()
  onTestFinished(() => mosquitto.remove())
  const service = startService(temporaryFolder(), mosquitto.url, sensors, () => ({ topics, clock: () => now }))
  await eventually(() => expect(service.states.at(-1)).toBe('connected'))
  const client = await publisher(mosquitto.url)
  // what a client may publish and the service is subscribed to, without the edge node, whose messages hang together
  const comes = /^(?:plant\/[\w ö]+\/temperature|gateway\/[\w ]+\/\w+)$/u
  const all = fc
    .sample(message, { numRuns: 10_000, seed: seedFor('messages through a broker') })
    .filter(({ topic }) => comes.test(topic) || sensors.some(each => each.topic === topic))
    .slice(0, 5000)
  expect(all).toHaveLength(5000)
  const told = all.map(({ topic, payload: bytes }) => expected(topic, bytes))
  const claims = told.flatMap(each => each.claims)
  await Promise.all(all.map(({ topic, payload }) => client.publishAsync(topic, Buffer.from(payload), { qos: 1 })))
  await eventually(() => expect(service.ingest.stats()).toMatchObject({ received: 5000, waiting: 0 }))
  const { stored, duplicate, refused } = service.ingest.stats()
  const refusals = Object.entries(refused).reduce(
    (sum, [reason, count]) => sum + (reason === reasons.badBattery || reason === reasons.badSignal ? 0 : count),
    0,
  )
  const outcomes = told.reduce((sum, each) => sum + each.outcomes, 0)
  expect(stored + duplicate + refusals + service.ingest.unassigned().count).toBe(outcomes)
  const kept = service.store.refusals()
  expect(Object.fromEntries(kept.counts.map(({ reason, count }) => [reason, count]))).toEqual(refused)
  const rows = [...service.store.readings(0, Number.POSITIVE_INFINITY)].flat()
  expect(rows).toHaveLength(stored)
  // sent again with another value, a reading stays as it was first: any claim may stand behind a row
  expect(rows.filter(row => falseRows([row], claims, now).length > 0)).toEqual([])
  await client.publishAsync('shop/timed', `{"value":21.125,"time":${now - 12_345}}`, { qos: 1 })
  await eventually(() => expect(service.ingest.stats().stored).toBe(stored + 1))
})
