import { expect, it, onTestFinished } from 'vitest'
import { window } from '../../../server/ingest/connection.js'
import { eventually } from '../../eventually.js'
import { heapInUse } from '../../heap.js'
import { startMosquitto } from '../../mosquitto.js'
import { temporaryFolder } from '../../temporary-folder.js'
import { flood } from './flood.js'
import { sensor } from './sensors.js'
import { startService } from './service.js'

const count = 60_000
/** bytes; the whole flood would take nearly 60 MB as objects, the window 4 */
const heapBound = 10e6

it('a slow disk makes the work wait at the broker, not in memory', async () => {
  const mosquitto = await startMosquitto()
  onTestFinished(() => mosquitto.remove())
  const pauseCell = new Int32Array(new SharedArrayBuffer(4))
  let most = 0
  let largest = 0
  let commits = 0
  let heap = 0
  const service = startService(temporaryFolder(), mosquitto.url, [sensor('s0')], store => ({
    store: {
      ...store,
      append(readings) {
        commits += 1
        largest = Math.max(largest, readings.length)
        most = Math.max(most, service.ingest.stats().waiting)
        heap = Math.max(heap, heapInUse())
        // as a disk that takes a tenth of a second for every commit
        Atomics.wait(pauseCell, 0, 0, 100)
        return store.append(readings)
      },
    },
    onReadings: () => undefined,
  }))
  await eventually(() => expect(service.states.at(-1)).toBe('connected'))
  const heapBefore = heapInUse()
  const start = Date.now() - 3_600_000
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
})
