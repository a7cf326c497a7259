import { setTimeout as pause } from 'node:timers/promises'
import { startMosquitto } from '../mosquitto.js'
import { cleaned } from './cleaning.js'
import { idleProgram } from './holds.js'
import { inspected } from './inspected.js'
import { connected, keepPublishing } from './publishing.js'
import { benchService } from './service.js'
import { benchShop } from './shop-text.js'
import { fillYear, temperatureOf } from './year.js'

/** How quickly the scrap investigation answers, with a year and many measured parts stored. */
export interface InvestigationFigures {
  inspections: number
  /** by what was asked: of how many parts, ms of each time, and s of processor time of the service in it */
  questions: { what: string; parts: number; took: number[]; processor: number[]; bytes: number }[]
  /** ms after the first ten seconds of the service until what the page asks first was there */
  first: number
  /** ms; the list of machines with their verdicts, asked alternately */
  machines: number[]
  /** ms; the longest time between two turns of the service's loop in all of it, and of a program that does nothing */
  hold: number
  idle: number
}

/** moved by another second each time, so that no answer stands already, but for what the page asks first */
const questions = [
  { what: 'all, as the page asks', path: () => '/api/investigation' },
  {
    what: 'one feature on one machine, anew',
    path: (time: number) => `/api/investigation?machine=mill-0&part=Part+0&feature=length+0&moved=${time + 1}`,
  },
  { what: 'all of one machine, anew', path: (time: number) => `/api/investigation?machine=mill-0&moved=${time + 1}` },
  { what: 'all, anew', path: (time: number) => `/api/investigation?moved=${time + 1}` },
]
/** ms; what is asked first is computed ahead after the start, and is not waited for longer */
const ahead = 120_000

/**
 * @param times how often each is asked
 * @param kept  folder of a year that was filled before, or where to keep the one that is filled now
 */
export const investigationBench = async (
  count: number,
  times: number,
  kept?: string,
): Promise<InvestigationFigures> => {
  const { yaml, sensors, machines } = benchShop(60)
  const broker = await startMosquitto()
  const removeBroker = cleaned(() => broker.remove())
  const service = await benchService(yaml, broker.url)
  const idle = idleProgram()
  try {
    await fillYear(service.data, sensors, kept)
    console.error('  measuring parts …')
    await inspected(service.data, count, machines)
    await service.start()
    const publisher = await connected(broker.url)
    const endPublishing = keepPublishing(publisher, sensors, temperatureOf, 1000)
    await pause(10_000)
    const hold = async () => 1000 * (await service.metric('nodejs_eventloop_lag_max_seconds'))
    await Promise.all([hold(), idle.longest()])
    const timed = async (path: string): Promise<[number, string]> => {
      const began = performance.now()
      const reply = await fetch(`${service.address}${path}`)
      const text = await reply.text()
      if (reply.status !== 200) throw new Error(`${path}: ${reply.status} ${text.slice(0, 200)}`)
      return [performance.now() - began, text]
    }
    // who asks while it is computed ahead waits for that; how long that takes is a figure too
    const [first] = await timed(questions[0]!.path(0))
    if (first > ahead) throw new Error(`nothing was told within ${ahead} ms`)
    const figures: InvestigationFigures = { inspections: count, questions: [], machines: [], first, hold: 0, idle: 0 }
    for (const { what, path } of questions) {
      const [took, processor]: [number[], number[]] = [[], []]
      let last = ''
      for (let i = 0; i < times; i++) {
        const before = service.processorTime()
        const [ms, text] = await timed(path(i))
        processor.push(service.processorTime() - before)
        took.push(ms)
        last = text
        figures.machines.push((await timed('/api/machines'))[0])
        await pause(500)
      }
      const answer = JSON.parse(last) as { inspections: number; groups: { finding: { explained: unknown } }[] }
      // what cannot be predicted costs nothing
      if (!answer.groups[0]?.finding.explained) throw new Error(`nothing was predicted of ${what}`)
      figures.questions.push({ what, parts: answer.inspections, took, processor, bytes: last.length })
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
