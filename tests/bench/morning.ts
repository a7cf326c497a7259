import { setTimeout as pause } from 'node:timers/promises'
import { openStore } from '../../server/store/sqlite.js'
import { startMosquitto } from '../mosquitto.js'
import { cleaned } from './cleaning.js'
import { idleProgram } from './holds.js'
import { connected, keepPublishing } from './publishing.js'
import { benchService } from './service.js'
import { type BenchSensor, benchShop } from './shop-text.js'
import { fillYear, temperatureOf } from './year.js'

/** How quickly the morning check is there, with many jobs planned and a year stored. All ms. */
export interface MorningFigures {
  jobs: number
  /** from being asked for the first time after the jobs were planned: all are answered then */
  first: number
  /** each time after that */
  later: number[]
  /** the list of machines with their verdicts, asked alternately */
  machines: number[]
  /** the longest time between two turns of the service's loop in all of it */
  hold: number
  /** the same of a program that does nothing, at the same time */
  idle: number
  bytes: number
  /** how many jobs had which answer: what could not be told would cost nothing */
  answers: Record<string, number>
}

const minute = 60_000

/** a day's list: all machines, any of two, parts that came in from outdoors, several features */
const jobTable = (jobs: number, machines: number): string => {
  const rows = ['part,size,tolerance (µm),material,machine,start,duration,from,brought,mass']
  const clock = (at: number) => `${new Date(at).toISOString().slice(0, 16).replace('T', ' ')}Z`
  for (let i = 0; i < jobs; i++) {
    const on = i % machines
    const machine = i % 4 === 3 ? `mill-${on} or mill-${(on + 1) % machines}` : `mill-${on}`
    const start = Date.now() + (5 + 2 * (i % 100)) * minute
    const from = i % 5 === 0 ? `outdoors,${clock(Date.now() - 40 * minute)},12 kg` : ',,'
    rows.push(
      `Part ${i},${20 + (i % 9) * 15} mm,${10 + (i % 7) * 6},${i % 2 ? 'steel' : 'aluminium'},${machine},${clock(start)},${30 + 15 * (i % 4)} min,${from}`,
    )
    if (i % 3 === 0) rows.push(',12 H7,,,,,,,,')
  }
  return rows.join('\n')
}

/** A year that was kept ends when it was filled: what is missing of the last hours is added, so that machines are known. */
const toppedUp = (folder: string, sensors: readonly BenchSensor[]): void => {
  const store = openStore(folder)
  const newest = Math.max(...store.latest().map(({ at }) => at))
  const now = Date.now()
  for (let at = Math.max(newest + minute, now - 360 * minute); at < now; at += minute)
    store.append(sensors.map(({ id }, i) => ({ sensor: id, at, value: temperatureOf(i, at), receivedAt: at })))
  store.close()
}

/**
 * @param times how often it is asked for
 * @param kept  folder of a year that was filled before, or where to keep the one that is filled now
 */
export const morningBench = async (jobs: number, times: number, kept?: string): Promise<MorningFigures> => {
  const { yaml, sensors, machines } = benchShop(60)
  const broker = await startMosquitto()
  const removeBroker = cleaned(() => broker.remove())
  const service = await benchService(yaml, broker.url)
  const idle = idleProgram()
  try {
    await fillYear(service.data, sensors, kept)
    toppedUp(service.data, sensors)
    await service.start()
    const publisher = await connected(broker.url)
    const endPublishing = keepPublishing(publisher, sensors, temperatureOf, 1000)
    await pause(15_000)
    const planned = await fetch(`${service.address}/api/jobs`, {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify({ by: 'bench', csv: jobTable(jobs, machines) }),
    })
    const { added, refused } = (await planned.json()) as { added: unknown[]; refused: unknown[] }
    if (added?.length !== jobs) throw new Error(`not all jobs were planned: ${JSON.stringify(refused).slice(0, 300)}`)
    const hold = async () => 1000 * (await service.metric('nodejs_eventloop_lag_max_seconds'))
    await Promise.all([hold(), idle.longest()])
    const timed = async (path: string): Promise<[number, string]> => {
      const began = performance.now()
      const text = await (await fetch(`${service.address}${path}`)).text()
      return [performance.now() - began, text]
    }
    const [first, text] = await timed('/api/morning')
    const answers: Record<string, number> = {}
    const check = JSON.parse(text) as { jobs: { answer: { answer: string; reasons: unknown[] } }[] }
    for (const { answer } of check.jobs) answers[answer.answer] = (answers[answer.answer] ?? 0) + 1
    const untold = check.jobs.find(({ answer }) => answer.answer === 'cannot tell')
    // what cannot be told costs nothing
    if (untold) throw new Error(`a job cannot be told: ${JSON.stringify(untold.answer.reasons[0])}`)
    const figures: MorningFigures = {
      jobs,
      first,
      later: [],
      machines: [],
      hold: 0,
      idle: 0,
      bytes: text.length,
      answers,
    }
    for (let i = 0; i < times; i++) {
      figures.later.push((await timed('/api/morning'))[0])
      figures.machines.push((await timed('/api/machines'))[0])
      // over a minute and more, so that answers are given anew meanwhile
      await pause(1500)
    }
    const [longest, idlest] = (await Promise.all([hold(), idle.longest()])).map(ms => Math.max(0, ms - 10))
    Object.assign(figures, { hold: longest, idle: idlest })
    await endPublishing()
    await publisher.endAsync(true)
    await service.stop()
    return figures
  } finally {
    await idle.end()
    await service.remove()
    await removeBroker()
  }
}
