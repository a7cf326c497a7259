import { spawn } from 'node:child_process'
import { once } from 'node:events'
import { request } from 'node:http'
import { join } from 'node:path'
import { setTimeout as pause } from 'node:timers/promises'
import Database from 'better-sqlite3'
import { databaseFile } from '../../server/store/database.js'
import { startMosquitto } from '../mosquitto.js'
import { cleaned, within } from './cleaning.js'
import { connected, keepPublishing, valueAt } from './publishing.js'
import { type BenchService, benchService } from './service.js'
import { type BenchSensor, benchShop } from './shop-text.js'
import { fillUp, fillYear, temperatureOf } from './year.js'

const minute = 60_000
const day = 1440 * minute
/** What was asked while the loop was watched. */
export interface Held {
  what: string
  /** ms; the longest time between two turns of the loop, less the 10 ms between two looks at it */
  longest: number
  /** ms; the same of a program that does nothing, at the same time: so long the computer itself lets a program wait */
  idle: number
  /** ms until the last answer was there, and bytes of all answers as they travelled */
  took: number
  bytes: number
  /** how many answers had which status */
  answers: Record<number, number>
}

export interface Holds {
  sensors: number
  /** readings stored before anything was asked */
  readings: number
  /** each question by itself, with readings coming in all the time */
  questions: Held[]
  /** everything at once, time constants being identified meanwhile */
  mixed: Held
}

/** readings in sealed blocks; a closed store has hardly any others */
const countIn = (folder: string): number => {
  const db = new Database(join(folder, databaseFile), { readonly: true })
  const count = db.prepare<[], number>('SELECT sum(count) FROM reading_blocks').pluck().get() ?? 0
  db.close()
  return count
}

interface Answer {
  status: number
  bytes: number
}

/** Takes an answer in whole, keeping nothing of it. */
const ask = (address: string, path: string, method = 'GET', body?: string, type = 'text/csv'): Promise<Answer> =>
  new Promise((resolve, reject) => {
    const headers = { 'accept-encoding': 'gzip, br', ...(body !== undefined && { 'content-type': type }) }
    const asked = request(`${address}${path}`, { method, headers }, response => {
      let bytes = 0
      response.on('data', (chunk: Buffer) => {
        bytes += chunk.length
      })
      response.on('end', () => resolve({ status: response.statusCode ?? 0, bytes }))
      response.on('error', reject)
    })
    asked.on('error', reject)
    asked.end(body)
  })

/** A program that does nothing but look at its own loop, as the service does. */
export const idleProgram = (): { longest(): Promise<number>; end: () => Promise<void> } => {
  const program = `
    const delay = require('node:perf_hooks').monitorEventLoopDelay({ resolution: 10 })
    delay.enable()
    process.on('message', () => {
      process.send(delay.max / 1e6)
      delay.reset()
    })`
  const child = spawn(process.execPath, ['-e', program], { stdio: ['ignore', 'ignore', 'inherit', 'ipc'] })
  return {
    async longest() {
      child.send('')
      const [longest] = await once(child, 'message')
      return longest as number
    },
    end: cleaned(() => {
      child.kill('SIGKILL')
    }),
  }
}

/** Watches the loop of the service while questions are asked. */
const watched = async (
  service: BenchService,
  idle: ReturnType<typeof idleProgram>,
  what: string,
  work: () => Promise<Answer[]>,
): Promise<Held> => {
  // the service forgets the longest hold when it has told it
  const hold = async () => 1000 * (await service.metric('nodejs_eventloop_lag_max_seconds'))
  await Promise.all([hold(), idle.longest()])
  const begun = performance.now()
  const found = await work()
  const took = performance.now() - begun
  await pause(100)
  const [longest, idlest] = (await Promise.all([hold(), idle.longest()])).map(ms => Math.max(0, ms - 10))
  const answers: Record<number, number> = {}
  for (const { status } of found) answers[status] = (answers[status] ?? 0) + 1
  return {
    what,
    longest: longest!,
    idle: idlest!,
    took,
    bytes: found.reduce((sum, { bytes }) => sum + bytes, 0),
    answers,
  }
}

const recording = (sensors: readonly BenchSensor[], rows: number): string => {
  const from = Date.now() - 30 * day + 30_000
  const cells = sensors.map((_, i) => valueAt(i)).join(',')
  const line = (i: number) => `${new Date(from + i * 10 * minute).toISOString()},${cells}`
  return `time,${sensors.map(({ id }) => id).join(',')}\n${Array.from({ length: rows }, (_, i) => line(i)).join('\n')}\n`
}

/**
 * How long anything holds the event loop of the service, as its own /metrics tell: each question that costs something by
 * itself, then all together while time constants are identified.
 *
 * @param seconds of the mixed load
 * @param kept    folder of a year that was filled before, or where to keep the one that is filled now
 */
export const longestHolds = async (sensorCount: number, seconds: number, kept?: string): Promise<Holds> => {
  const { yaml, sensors } = benchShop(sensorCount)
  const broker = await startMosquitto()
  const removeBroker = cleaned(() => broker.remove())
  const service = await benchService(yaml, broker.url)
  const idle = idleProgram()
  try {
    await fillYear(service.data, sensors, kept)
    if (kept !== undefined) fillUp(service.data, sensors)
    const readings = countIn(service.data)
    await service.start()
    for (let n = 0; n < 5; n++) await service.page()
    const publisher = await connected(broker.url)
    const to = Date.now()
    const span = (days: number) => `from=${to - days * day}&to=${to}`
    const all = sensors.map(({ id }) => id).join(',')
    const get = (path: string, method?: string) => ask(service.address, path, method)
    const once = (path: string) => async () => [await get(path)]
    const imported = async (): Promise<Answer[]> => {
      const sent = await ask(service.address, '/api/recording?name=bench.csv', 'POST', recording(sensors, 500))
      const { id } = (await service.json('/api/recording')) as { id: number }
      await ask(
        service.address,
        '/api/recording/import',
        'POST',
        JSON.stringify({ by: 'bench', id }),
        'application/json',
      )
      for (;;) {
        await pause(200)
        if (((await service.json('/api/recording')) as { stage: string }).stage !== 'importing') return [sent]
      }
    }
    const machines = [...new Set(sensors.flatMap(({ id }) => /^m(\d+)-/.exec(id)?.[1] ?? []))]
    const questions: [string, () => Promise<Answer[]>][] = [
      ['nothing but readings', async () => [await pause(3000).then(() => get('/healthz'))]],
      ['all pages opened', () => Promise.all(['/', '/machine/mill-0', '/sensors', '/about'].map(path => get(path)))],
      [
        'state of machines and sensors',
        () => Promise.all(['/api/machines', '/api/sensors', '/api/shop'].map(path => get(path))),
      ],
      ['the last day of every sensor', once('/api/sensors/courses')],
      ['a series of all sensors, a year at 5,000 points', once(`/api/series?sensors=${all}&points=5000&${span(365)}`)],
      ['a series of one sensor, a year at 500 points', once(`/api/series?sensors=m0-n1&points=500&${span(365)}`)],
      ['growth, a year at 5,000 points', once(`/api/machines/mill-0/growth?points=5000&${span(365)}`)],
      ['growth, a day at 500 points', once(`/api/machines/mill-0/growth?points=500&${span(1)}`)],
      ['environment test, 30 days', once(`/api/machines/mill-0/environment?window=600&${span(30)}`)],
      ['environment test, a year', once(`/api/machines/mill-0/environment?window=3600&${span(365)}`)],
      ['record of a machine, a year', once(`/api/records/machine/mill-0?${span(365)}`)],
      ['what happened on a machine, a day', once(`/api/machines/mill-0/happened?${span(1)}`)],
      ['from where its movement came, a week', once(`/api/machines/mill-0/sources?${span(7)}`)],
      ['whether it was heat, no part measured', once('/api/investigation')],
      ['spindle, no test on record', once('/api/machines/mill-0/spindle')],
      ['learning from 200 measurements', once('/api/machines/mill-0/learning')],
      ['common-temperature check, 7 days', once(`/api/calibration/check?sensors=all&${span(7)}`)],
      [
        'forecasts, 72 h at 500 points, each machine',
        () => Promise.all(machines.map(m => get(`/api/machines/mill-${m}/forecast?hours=72&points=500`))),
      ],
      ['an export asked for by HEAD', async () => [await get('/api/readings?from=0', 'HEAD')]],
      ['an export of a day', once(`/api/readings?${span(1)}`)],
      ['an export of all readings', once('/api/readings?from=0')],
      [
        'ten exports of all readings at once',
        () => Promise.all(Array.from({ length: 10 }, () => get('/api/readings?from=0'))),
      ],
      ['an import of 30,000 readings', imported],
    ]
    const found: Held[] = []
    const endPublishing = keepPublishing(publisher, sensors, temperatureOf, 200)
    // until every sensor is believed again
    await pause(15_000)
    for (const [what, work] of questions) {
      console.error(`  ${what} …`)
      found.push(await within(120_000, what, watched(service, idle, what, work)))
      console.error(
        `    ${found.at(-1)!.longest.toFixed(0)} ms, of a program that does nothing ${found.at(-1)!.idle.toFixed(0)} ms`,
      )
    }
    const mixed = await watched(service, idle, 'all of it at once', async () => {
      const answers: Answer[] = []
      const until = Date.now() + seconds * 1000
      await Promise.all(
        questions.map(async ([, work]) => {
          while (Date.now() < until) {
            answers.push(...(await work().catch(() => [{ status: 0, bytes: 0 }])))
            await pause(500)
          }
        }),
      )
      return answers
    })
    await endPublishing()
    await publisher.endAsync(true)
    await service.stop()
    return { sensors: sensorCount, readings, questions: found, mixed }
  } finally {
    await idle.end()
    await service.remove()
    await removeBroker()
  }
}
