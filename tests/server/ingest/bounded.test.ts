import { expect, it, onTestFinished } from 'vitest'
import { window } from '../../../server/ingest/connection.js'
import { eventually } from '../../eventually.js'
import { startMosquitto } from '../../mosquitto.js'
import { temporaryFolder } from '../../temporary-folder.js'
import { flood } from './flood.js'
import { sensor } from './sensors.js'
import { startService } from './service.js'

const count = 60_000
/** bytes; the whole flood would take more than this as objects, the window much less */
const heapBound = 60 * 1024 * 1024

it('a slow disk makes the work wait at the broker, not in memory', async () => {
  const mosquitto = await startMosquitto()
  onTestFinished(() => mosquitto.remove())
  const pauseCell = new Int32Array(new SharedArrayBuffer(4))
  let most = 0
  let largest = 0
  let commits = 0
  const service = startService(temporaryFolder(), mosquitto.url, [sensor('s0')], store => ({
    store: {
      ...store,
      append(readings) {
        commits += 1
        largest = Math.max(largest, readings.length)
        most = Math.max(most, service.ingest.stats().waiting)
        // as a disk that takes a tenth of a second for every commit
        Atomics.wait(pauseCell, 0, 0, 100)
        return store.append(readings)
      },
    },
    onReadings: () => undefined,
  }))
  await eventually(() => expect(service.states.at(-1)).toBe('connected'))
  const heapBefore = process.memoryUsage().heapUsed
  const start = Date.now() - 3_600_000
  let heap = 0
  const looking = setInterval(() => {
    heap = Math.max(heap, process.memoryUsage().heapUsed)
  }, 20)
  onTestFinished(() => clearInterval(looking))
  await flood(mosquitto.port, count, number => ({
    topic: 'shop/s0',
    payload: `{"value":20,"time":${start + number}}`,
  }))
  await eventually(() => expect(service.ingest.stats().stored).toBe(count), 50)
  const { waiting, received, duplicate, failedCommits } = service.ingest.stats()
  expect({ waiting, failedCommits }).toEqual({ waiting: 0, failedCommits: 0 })
  // what the broker sent twice was counted twice
  expect(received).toBe(count + duplicate)
  expect(commits).toBeGreaterThanOrEqual(count / window)
  expect(most).toBeLessThanOrEqual(window)
  expect(largest).toBeLessThanOrEqual(window)
  expect(heap - heapBefore).toBeLessThan(heapBound)
}, 120_000)
