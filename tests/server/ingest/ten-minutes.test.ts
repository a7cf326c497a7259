import { expect, it, onTestFinished } from 'vitest'
import { eventually } from '../../eventually.js'
import { startMosquitto } from '../../mosquitto.js'
import { temporaryFolder } from '../../temporary-folder.js'
import { flood } from './flood.js'
import { sensor } from './sensors.js'
import { startService } from './service.js'

const sensorCount = 1000
const seconds = 600
const count = sensorCount * seconds

// Ten minutes are not waited for: what they would bring is published as fast as the broker takes it.
it('what 1,000 sensors send in ten minutes without the service is taken in whole when it is back', async () => {
  const mosquitto = await startMosquitto()
  onTestFinished(() => mosquitto.remove())
  const folder = temporaryFolder()
  const sensors = Array.from({ length: sensorCount }, (_, index) => sensor(`s${index}`, { interval: 1 }))
  const before = startService(folder, mosquitto.url, sensors)
  await eventually(() => expect(before.states.at(-1)).toBe('connected'))
  await before.stop()

  const start = Date.now() - 3_600_000
  await flood(mosquitto.port, count, number => ({
    topic: `shop/s${number % sensorCount}`,
    payload: `{"value":${20 + (number % 97) / 16},"time":${start + 1000 * Math.floor(number / sensorCount)}}`,
  }))

  const after = startService(folder, mosquitto.url, sensors, () => ({ onReadings: () => undefined }))
  await eventually(() => {
    const { stored, duplicate, waiting } = after.ingest.stats()
    expect([stored, waiting]).toEqual([count, 0])
    expect(duplicate).toBeLessThan(count)
  }, 200)
  expect(after.ingest.stats().refused).toEqual({})
  const seen = new Uint8Array(count)
  let wrong = 0
  for (const { sensor: id, at, value } of [...after.store.readings(0, Number.POSITIVE_INFINITY)].flat()) {
    const number = ((at - start) / 1000) * sensorCount + Number(id.slice(1))
    seen[number]! += 1
    if (value !== 20 + (number % 97) / 16) wrong += 1
  }
  expect(wrong).toBe(0)
  expect(seen.every(times => times === 1)).toBe(true)
})

it('with a broker that keeps as little as mosquitto does by itself, the same count finds what is missing', async () => {
  // mosquitto.conf(5): max_queued_messages is 1000 if not set
  const mosquitto = await startMosquitto(['max_queued_messages 1000'])
  onTestFinished(() => mosquitto.remove())
  const folder = temporaryFolder()
  const sensors = [sensor('s0', { interval: 1 })]
  const before = startService(folder, mosquitto.url, sensors)
  await eventually(() => expect(before.states.at(-1)).toBe('connected'))
  await before.stop()
  const start = Date.now() - 3_600_000
  await flood(mosquitto.port, 10_000, number => ({
    topic: 'shop/s0',
    payload: `{"value":20,"time":${start + number}}`,
  }))
  const after = startService(folder, mosquitto.url, sensors)
  await eventually(() => expect(after.ingest.stats().stored).toBeGreaterThan(900))
  await new Promise(resolve => setTimeout(resolve, 1500))
  expect(after.ingest.stats().stored).toBeLessThan(10_000)
})
