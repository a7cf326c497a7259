import { type ChildProcess, spawn } from 'node:child_process'
import { join } from 'node:path'
import { setTimeout as pause } from 'node:timers/promises'
import type { MqttClient } from 'mqtt'
import { expect, onTestFinished, test, vi } from 'vitest'
import { startMosquitto } from '../../mosquitto.js'
import { temporaryFolder } from '../../temporary-folder.js'
import { sensor } from './sensors.js'
import { published, publisher, startService } from './service.js'

const sensorCount = 20
const perSecond = 2000
const kills = 5
const start = Date.now() - 86_400_000

const startProcess = (folder: string, url: string) => {
  const program = join(import.meta.dirname, 'service-process.ts')
  const child = spawn(process.execPath, ['--import', 'tsx', program, folder, url, String(sensorCount)], {
    stdio: ['ignore', 'pipe', 'inherit'],
  })
  onTestFinished(() => {
    child.kill('SIGKILL')
  })
  let said = ''
  child.stdout.on('data', (bytes: Buffer) => {
    said += bytes.toString()
  })
  return { child, said: () => said }
}

const ended = (child: ChildProcess) => new Promise(resolve => child.once('exit', resolve))

/** numbered readings at a steady rate until told to stop; @returns how many the broker has taken over */
const publishNumbers = (client: MqttClient, running: () => boolean) => {
  const taken: Promise<unknown>[] = []
  return (async () => {
    const began = performance.now()
    for (let number = 0; running(); ) {
      const due = ((performance.now() - began) / 1000) * perSecond
      for (; number < due; number += 1) {
        const topic = `shop/s${number % sensorCount}`
        taken.push(client.publishAsync(topic, published(number % 9000, start + number), { qos: 1 }))
      }
      await pause(5)
    }
    await Promise.all(taken)
    return taken.length
  })()
}

test(`a service killed ${kills} times at any moment under load loses no reading and doubles none`, async () => {
  const mosquitto = await startMosquitto()
  onTestFinished(() => mosquitto.remove())
  const folder = temporaryFolder()
  const client = await publisher(mosquitto.url)
  let publishing = true
  let numbers: Promise<number> | undefined
  let reported = 0
  for (let kill = 0; kill < kills; kill += 1) {
    const { child, said } = startProcess(folder, mosquitto.url)
    await vi.waitFor(() => expect(said()).toMatch(/^connected$/m), 20_000)
    numbers ??= publishNumbers(client, () => publishing)
    await vi.waitFor(() => expect(said()).toMatch(/^stored/m), 10_000)
    await pause(Math.random() * 600)
    child.kill('SIGKILL')
    await ended(child)
    for (const [, count] of said().matchAll(/^stored (\d+)$/gm)) reported += Number(count)
  }
  publishing = false
  const count = (await numbers) ?? 0
  expect(count).toBeGreaterThan(kills * 200)

  const sensors = Array.from({ length: sensorCount }, (_, index) => sensor(`s${index}`))
  const service = startService(folder, mosquitto.url, sensors)
  await vi.waitFor(() => {
    const { stored, duplicate, waiting } = service.ingest.stats()
    expect(stored + duplicate).toBeGreaterThan(0)
    expect(waiting).toBe(0)
    expect([...service.store.readings(0, Number.POSITIVE_INFINITY)]).toHaveLength(count)
  }, 20_000)

  const seen = [...service.store.readings(0, Number.POSITIVE_INFINITY)]
  expect(seen.map(r => r.at - start)).toEqual(Array.from({ length: count }, (_, number) => number))
  for (const { at, value } of seen) expect(value).toBe((at - start) % 9000)
  // a reading counted twice would show in the summaries, which the key (sensor, time) does not protect
  let summed = 0
  for (const { id } of sensors)
    for (const point of service.store.series(id, start - 900_000, start + 86_400_000, 1).points) summed += point.count
  expect(summed).toBe(count)
  // what a killed process had said to be stored was stored: all but what its last words did not reach us
  expect(service.passed.length).toBeLessThanOrEqual(count - reported)
}, 120_000)
