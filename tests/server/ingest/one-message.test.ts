import { expect, it, onTestFinished } from 'vitest'
import { createCommitter } from '../../../server/ingest/committer.js'
import { createDecoder } from '../../../server/ingest/decoder.js'
import { reasons } from '../../../server/ingest/reasons.js'
import { createStatistics } from '../../../server/ingest/statistics.js'
import { eventually } from '../../eventually.js'
import { startMosquitto } from '../../mosquitto.js'
import { temporaryFolder } from '../../temporary-folder.js'
import { keptLog, sensor, withoutTopic } from './sensors.js'
import { published, publisher, type Service, startService } from './service.js'
import { bdSeq, data, payload } from './sparkplug.js'

// One message, whatever it holds, must not end the service: the broker would send it again at every start.

const at = (metric: string, device?: string) =>
  withoutTopic(metric, { sparkplug: { group: 'hall', node: 'edge', metric, ...(device && { device }) } })
const sensors = [sensor('a'), at('Air'), at('Screw', 'mill')]

/** metrics without anything in them, of two bytes each: field 2 of the message, length 0 */
const emptyMetrics = (count: number): Buffer => Buffer.alloc(2 * count, Buffer.from([0x12, 0]))

const broker = async () => {
  const mosquitto = await startMosquitto()
  onTestFinished(() => mosquitto.remove())
  return mosquitto
}
const connected = (service: Service) => eventually(() => expect(service.states.at(-1)).toBe('connected'))
let last = Date.now()
/** what comes behind all that is stored */
const takes = async (service: Service, client: Awaited<ReturnType<typeof publisher>>) => {
  const time = ++last
  await client.publishAsync('shop/a', published(20, time), { qos: 1 })
  await eventually(() => expect(service.store.latest()).toContainEqual(expect.objectContaining({ at: time })))
}

it('130,000 empty metrics, and a birth of 1 MB that comes again at each start, are counted, kept and acknowledged', async () => {
  const { url } = await broker()
  const client = await publisher(url)
  const folder = temporaryFolder()
  const first = startService(folder, url, sensors)
  await connected(first)
  const born = payload([bdSeq(0), { name: 'Air', alias: 1, type: 'Double', value: 20, timestamp: Date.now() }], 0)
  await client.publishAsync('spBv1.0/hall/NBIRTH/edge', born, { qos: 1 })
  await client.publishAsync('spBv1.0/hall/NDATA/edge', emptyMetrics(130_000), { qos: 1 })
  await client.publishAsync('spBv1.0/hall/NBIRTH/edge', emptyMetrics(500_000), { qos: 1, retain: true })
  // the births on which this alias rests are not known any more
  await client.publishAsync('spBv1.0/hall/NDATA/edge', data([{ alias: 1, type: 'Double', value: 21 }], 1), { qos: 1 })
  await takes(first, client)
  expect(first.ingest.stats().refused).toEqual({ [reasons.manyMetrics]: 2, [reasons.beforeBirth]: 1 })
  const [, , sample] = first.store.refusals().samples
  expect(sample).toMatchObject({ topic: 'spBv1.0/hall/NDATA/edge', reason: reasons.manyMetrics })
  expect(sample!.sample).toMatch(/ \(more than 10000\)$/)
  await first.stop()

  const second = startService(folder, url, sensors)
  await connected(second)
  await takes(second, client)
  expect(second.ingest.stats()).toMatchObject({ received: 1, reconnects: 0 })
})

it('as many metrics as are taken, all of them wrong, are all counted', () => {
  const decode = createDecoder(sensors)
  const delivery = { retained: false, receivedAt: Date.now() }
  decode('spBv1.0/hall/NBIRTH/edge', payload([bdSeq(0)], 0), delivery)
  const { readings, refusals } = decode('spBv1.0/hall/NDATA/edge', emptyMetrics(10_000), delivery)
  expect([readings.length, refusals.length]).toEqual([0, 10_000])
})

it.each([
  ['metrics in metrics without end', Buffer.alloc(900_000, 0x33)],
  ['properties without end', Buffer.concat([Buffer.from([0x12, 0xa0, 0xf7, 0x36]), Buffer.alloc(900_000, 0x4a)])],
  ['a birth cut off', payload([{ name: 'Air', type: 'Double', value: 20 }], 0).subarray(0, 9)],
])('%s: refused, and nothing thrown', (_, bytes) => {
  const decode = createDecoder(sensors)
  const { readings, refusals } = decode('spBv1.0/hall/NBIRTH/edge', bytes, { retained: false, receivedAt: Date.now() })
  expect(readings).toEqual([])
  expect(refusals.map(({ reason }) => reason)).toEqual([reasons.notSparkplug])
})

it('a message at which the service fails is counted, kept to look at and acknowledged', async () => {
  const { url } = await broker()
  const client = await publisher(url)
  const folder = temporaryFolder()
  const told = sensor('told', {
    payload: { kind: 'json', value: 'value', time: 'time', battery: { at: 'b', unit: '%' } },
  })
  const fails = () => ({
    onConditions: () => {
      throw new Error('a mistake of our own')
    },
    onLost: () => {
      throw new TypeError('another mistake')
    },
  })
  const first = startService(folder, url, [...sensors, told], fails)
  await connected(first)
  await client.publishAsync('shop/told', JSON.stringify({ value: 20, time: Date.now(), b: 50 }), { qos: 1 })
  await client.publishAsync('spBv1.0/hall/NBIRTH/edge', payload([bdSeq(0)], 0), { qos: 1 })
  await takes(first, client)
  expect(first.ingest.stats()).toMatchObject({ stored: 2, refused: { [reasons.broke]: 2 } })
  expect(first.store.refusals().samples.map(({ sample }) => sample)).toEqual([
    expect.stringContaining('another mistake'),
    expect.stringContaining('(a mistake of our own)'),
  ])
  await first.stop()
  const second = startService(folder, url, [...sensors, told], fails)
  await connected(second)
  await takes(second, client)
  expect(second.ingest.stats()).toMatchObject({ received: 1, refused: {} })
})

it('a message that cannot be stored is refused by itself, and those that came with it are stored', async () => {
  const { url } = await broker()
  const client = await publisher(url)
  const folder = temporaryFolder()
  const unfit = ({ append, ...store }: Service['store']) => ({
    store: {
      ...store,
      append: (readings: Parameters<typeof append>[0]) => {
        if (readings.some(({ value }) => value === 66)) throw new RangeError('no place for 66')
        return append(readings)
      },
    },
  })
  const first = startService(folder, url, sensors, unfit)
  await connected(first)
  const before = ++last
  for (const value of [20, 66, 21]) await client.publishAsync('shop/a', published(value, ++last), { qos: 1 })
  await takes(first, client)
  const stored = [...first.store.readings(before, Number.POSITIVE_INFINITY)].flat()
  expect(stored.map(({ value }) => value)).toEqual([20, 21, 20])
  expect(first.ingest.stats()).toMatchObject({ stored: 3, refused: { [reasons.broke]: 1 }, failedCommits: 0 })
  expect(first.store.refusals().samples[0]).toMatchObject({
    topic: 'shop/a',
    sample: expect.stringMatching(/^no place for 66: .*"value":66/),
  })
  await first.stop()
  // and was acknowledged: it does not come again
  const second = startService(folder, url, sensors, unfit)
  await connected(second)
  await takes(second, client)
  expect(second.ingest.stats()).toMatchObject({ received: 1, refused: {} })
})

it('a trouble of the database or its disk is no message’s fault, whatever kind of error tells it', () => {
  const { isOfMessage } = createCommitter({
    store: { append: () => [], recordRefusals: () => undefined },
    statistics: createStatistics(),
    clock: Date.now,
    onReadings: () => undefined,
    log: keptLog(),
  })
  expect([new RangeError('too long'), new TypeError('not a number')].map(isOfMessage)).toEqual([true, true])
  const full = Object.assign(new TypeError('database or disk is full'), { code: 'SQLITE_FULL' })
  expect([new Error('a mistake'), full].map(isOfMessage)).toEqual([false, false])
})

it('a mistake while a message is decoded refuses that message', () => {
  const decode = createDecoder([sensor('a', { payload: { kind: 'number' } })])
  const waited = () => {
    throw new RangeError('Maximum call stack size exceeded')
  }
  const taken = decode('shop/a', Buffer.from('20.5'), { retained: false, receivedAt: 1000, mayHaveWaited: waited })
  expect(taken).toEqual({
    readings: [],
    refusals: [{ at: 1000, topic: 'shop/a', reason: reasons.broke, sample: '20.5 (Maximum call stack size exceeded)' }],
  })
})
