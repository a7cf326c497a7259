/** `npm run bench`: speed, memory and size, each beside something to compare with in the same run. */
import { readFileSync, writeFileSync } from 'node:fs'
import { cpus, release, totalmem } from 'node:os'
import { parseArgs } from 'node:util'
import { progressLine } from '../../server/demo/progress-line.js'
import { type BacklogRates, backlogRates } from './backlog.js'
import { cleanAll, cleanWhenStopped, within } from './cleaning.js'
import { longestHolds } from './holds.js'
import { investigationBench } from './investigation.js'
import { liveDelays } from './live.js'
import { memoryUnderLoad } from './memory.js'
import { morningBench } from './morning.js'
import {
  backlogRows,
  delayRows,
  holdRows,
  investigationRows,
  memoryRows,
  morningRows,
  orderRows,
  storageRows,
} from './report.js'
import { orderBench } from './spindle.js'
import { storageBench } from './storage.js'
import { asTable, type Row } from './table.js'

const help = `npm run bench -- [options]

Measures the built service on this machine, with a real broker (mosquitto) and a real database, and prints one table: each
figure beside something to compare with in the same run, medians of five. Takes about 20 minutes, ten of them for memory.

  --only PART      backlog, delay, holds, memory, storage, spindle, morning or investigation; may be given several times
  --minutes N      how long memory is watched; 10 if not given
  --repetitions N  of all else; 5 if not given
  --data FOLDER    where holds, morning and investigation keep the year that they fill, to take a copy of it the next time
  --short          for trying: one repetition, a minute of memory
  --json FILE      also writes all that was measured to FILE
  --help           this text

backlog   readings a second from a full queue at QoS 1: an mqtt client that only counts (once with the library's own
          settings, once with the window that the service asks for), and the whole service with five pages listening.
          Each is connected and held while the queue fills, and timed from the moment it is let go
delay     from publishing a reading to its event on a page's stream, with 10,000 sensors and five pages
holds     how long anything holds the event loop of the service, with a year of 60 sensors stored: each question that costs
          something by itself, then all at once for two minutes while time constants are identified
memory    of the service with 10,000 sensors at 5,000 readings a second
storage   appending, bytes for each reading and reading back, beside a plain table keyed by sensor and time
spindle   dwell that the best order of a job's tools saves over 1,000 random lists, wide and close ones, and the search beside
          trying every order
morning   how quickly the morning check is there with 200 planned jobs and a year of 60 sensors stored, and what it holds
investigation  how quickly it is told whether heat made 100,000 measured parts, with a year of 60 sensors stored`

const wrong = (text: string): never => {
  console.error(text)
  process.exit(2)
}
const read = () => {
  try {
    return parseArgs({
      options: {
        help: { type: 'boolean' },
        short: { type: 'boolean' },
        only: { type: 'string', multiple: true },
        minutes: { type: 'string' },
        repetitions: { type: 'string' },
        data: { type: 'string' },
        json: { type: 'string' },
      },
    }).values
  } catch (error) {
    return wrong(`${(error as Error).message} See npm run bench -- --help.`)
  }
}
const values = read()
if (values.help) {
  console.log(help)
  process.exit(0)
}
const parts = ['backlog', 'delay', 'holds', 'memory', 'storage', 'spindle', 'morning', 'investigation']
for (const part of values.only ?? [])
  if (!parts.includes(part)) wrong(`--only: ${part} is not possible: give one of ${parts.join(', ')}.`)
const positive = (name: 'minutes' | 'repetitions', usual: number): number => {
  const value = Number(values[name] ?? usual)
  return value > 0 ? value : wrong(`--${name}: ${values[name]} is not possible: give a number above 0.`)
}
const minutes = positive('minutes', values.short ? 1 : 10)
const repetitions = Math.ceil(positive('repetitions', values.short ? 1 : 5))

const loadNow = (): string => readFileSync('/proc/loadavg', 'utf8').split(' ')[0]!
const cpu = cpus()
const machine = `${cpu[0]?.model.trim()}, ${cpu.length} cores, ${(totalmem() / 2 ** 30).toFixed(0)} GiB, Linux ${release()}, Node ${process.versions.node}`
const begun = { at: Date.now(), load: loadNow() }
const rows: Row[] = []
const measured: Record<string, unknown> = {}
let failed = false

/** one part that fails leaves the others their turn */
const part = async (name: string, longest: number, measure: () => Promise<Row[]>): Promise<void> => {
  if (values.only && !values.only.includes(name)) return
  console.error(`${name} …`)
  try {
    rows.push(...(await within(longest * 60_000, `the part ${name}`, measure())))
  } catch (error) {
    failed = true
    const why = error instanceof Error ? error.message : String(error)
    console.error(`${name}: ${why}`)
    rows.push({ what: name, ours: `not measured: ${why.split('\n')[0]}`, beside: '', ratio: '', aim: '' })
  }
}

cleanWhenStopped()
await part('backlog', 3 + 3 * repetitions, async () => {
  const all: BacklogRates[] = []
  for (const sensors of [100, 1000, 10_000]) all.push(await backlogRates(sensors, 60_000, repetitions))
  measured.backlog = all
  return backlogRows(all)
})
await part('delay', 3 + repetitions, async () => {
  const found: Row[] = []
  for (const rate of [1000, 5000]) {
    const delays = await liveDelays(10_000, rate, 10, repetitions)
    measured[`delay at ${rate}/s`] = delays
    found.push(...delayRows(rate, delays))
  }
  return found
})
await part('holds', 15, async () => {
  const holds = await longestHolds(60, values.short ? 20 : 120, values.data)
  measured.holds = holds
  return holdRows(holds)
})
await part('memory', 3 + 2 * minutes, async () => {
  const seen = await memoryUnderLoad(10_000, 5000, minutes * 60, progressLine('memory', process.stderr))
  measured.memory = seen
  return memoryRows(minutes, seen)
})
await part('storage', 5 + 2 * repetitions, async () => {
  const figures = await storageBench(repetitions)
  measured.storage = figures
  return storageRows(figures)
})
await part('spindle', 15, async () => {
  const lists = values.short ? 50 : 1000
  const figures = { wide: orderBench(lists), close: orderBench(lists, 0.1) }
  measured.spindle = figures
  return [...orderRows(figures.wide, '3 to 18 µm of growth allowed'), ...orderRows(figures.close, '1 to 6 µm')]
})
await part('morning', 10, async () => {
  const figures = await morningBench(200, values.short ? 5 : 60, values.data)
  measured.morning = figures
  return morningRows(figures)
})
await part('investigation', 15, async () => {
  const figures = await investigationBench(100_000, values.short ? 2 : 5, values.data)
  measured.investigation = figures
  return investigationRows(figures)
})

const took = ((Date.now() - begun.at) / 60_000).toFixed(0)
console.log(`
${machine}
load ${begun.load} at the beginning, ${loadNow()} at the end; ${took} min; medians of ${repetitions} (least to most), memory once

${asTable(rows)}`)
if (values.json) writeFileSync(values.json, `${JSON.stringify({ machine, repetitions, minutes, measured }, null, 2)}\n`)

await cleanAll()
process.exit(failed ? 1 : 0)
