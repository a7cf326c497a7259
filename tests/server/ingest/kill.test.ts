import { type ChildProcess, spawn } from 'node:child_process'
import { join } from 'node:path'
import { setTimeout as pause } from 'node:timers/promises'
import type { MqttClient } from 'mqtt'
import { expect, it, onTestFinished } from 'vitest'
import { built } from '../../built.js'
import { eventually } from '../../eventually.js'
import { startMosquitto } from '../../mosquitto.js'
import { draws, seedFor } from '../../seed.js'
import { temporaryFolder } from '../../temporary-folder.js'
import { sensor } from './sensors.js'
import { published, publisher, startService } from './service.js'

const sensorCount = 20
const perSecond = 2000
/** ms a process lives after it has connected, at most: shorter than a group takes, and long enough for many */
const longestLife = 500

type Acknowledging = 'after the commit' | 'before the commit'

const startProcess = (program: string, folder: string, url: string, acknowledging: Acknowledging) => {
  const argv = [program, folder, url, String(sensorCount), acknowledging]
  const child = spawn(process.execPath, argv, { stdio: ['ignore', 'pipe', 'inherit'] })
  let said = ''
  child.stdout.on('data', (bytes: Buffer) => {
    said += bytes.toString()
  })
  return { child, said: () => said }
}

const ended = (child: ChildProcess) => new Promise(resolve => child.once('close', resolve))

/** numbered readings at a steady rate until told to stop; @returns how many the broker has taken over */
const publishNumbers = (client: MqttClient, start: number, running: () => boolean) => {
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

interface Outcome {
  /** readings that the broker had acknowledged to their publisher */
  count: number
  /** numbers in the store, in order of time */
  numbers: number[]
  wrongValues: number
  /** readings counted in the summaries, which the key (sensor, time) does not protect */
  summed: number
  /** said by the killed processes to be stored */
  reported: number
  /** lives in which something was stored */
  fruitful: number
}

/** Kills a process with store and ingest so often, under load, and then lets a last one take in what is left. */
const killed = async (kills: number, seed: number, acknowledging: Acknowledging): Promise<Outcome> => {
  const random = draws(seed)
  const start = Date.now() - 86_400_000
  const mosquitto = await startMosquitto()
  onTestFinished(() => mosquitto.remove())
  const folder = temporaryFolder()
  const program = await built(join(import.meta.dirname, 'service-process.ts'))
  const client = await publisher(mosquitto.url)
  let publishing = true
  let numbers: Promise<number> | undefined
  let reported = 0
  let fruitful = 0
  for (let kill = 0; kill < kills; kill += 1) {
    const { child, said } = startProcess(program, folder, mosquitto.url, acknowledging)
    const over = ended(child)
    try {
      await eventually(() => expect(said()).toMatch(/^connected$/m), 5)
      numbers ??= publishNumbers(client, start, () => publishing)
      await pause(random() * longestLife)
    } finally {
      child.kill('SIGKILL')
      await over
    }
    const counts = [...said().matchAll(/^stored (\d+)$/gm)].map(([, count]) => Number(count))
    reported += counts.reduce((sum, count) => sum + count, 0)
    if (counts.length > 0) fruitful += 1
  }
  publishing = false
  const count = (await numbers) ?? 0

  const sensors = Array.from({ length: sensorCount }, (_, index) => sensor(`s${index}`))
  const service = startService(folder, mosquitto.url, sensors)
  await eventually(() => expect(service.states.at(-1)).toBe('connected'))
  // all is there that will be there: nothing has come for a second
  let before = -1
  await eventually(() => {
    const { received, waiting } = service.ingest.stats()
    const still = received === before && waiting === 0
    before = received
    expect(still).toBe(true)
  }, 1000)
  const seen = [...service.store.readings(0, Number.POSITIVE_INFINITY)].flat()
  let summed = 0
  for (const { id } of sensors)
    for (const point of service.store.series(id, start - 900_000, start + 86_400_000, 1).points) summed += point.count
  // what a killed process had said to be stored was stored: all but what its last words did not reach us
  if (acknowledging === 'after the commit') expect(service.passed.length).toBeLessThanOrEqual(count - reported)
  return {
    count,
    numbers: seen.map(({ at }) => at - start),
    wrongValues: seen.filter(({ at, value }) => value !== (at - start) % 9000).length,
    summed,
    reported,
    fruitful,
  }
}

const kills = 50

it(`a service killed ${kills} times at any moment under load loses no reading and doubles none`, async () => {
  const outcome = await killed(kills, seedFor('moments of the kills'), 'after the commit')
  const { count, numbers, wrongValues, summed, fruitful } = outcome
  console.log(`${kills} kills, ${fruitful} while storing; ${count} published, ${numbers.length} stored`)
  expect(count).toBeGreaterThan(kills * 200)
  // most kills must have hit a service at work
  expect(fruitful).toBeGreaterThan(kills / 2)
  expect(numbers).toEqual(Array.from({ length: count }, (_, number) => number))
  expect(wrongValues).toBe(0)
  expect(summed).toBe(count)
})

it('the same count finds what a service loses that acknowledges before it commits', async () => {
  const { count, numbers } = await killed(6, seedFor('moments of the kills, control'), 'before the commit')
  console.log(`acknowledged before the commit: ${count - numbers.length} of ${count} lost`)
  expect(numbers.length).toBeLessThan(count)
})
