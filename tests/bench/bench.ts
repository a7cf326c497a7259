/** `npm run bench`: speed, memory and size, each beside something to compare with in the same run. */
import { readFileSync, writeFileSync } from 'node:fs'
import { cpus, release, totalmem } from 'node:os'
import { parseArgs } from 'node:util'
import { progressLine } from '../../server/demo/progress-line.js'
import { type BacklogRates, backlogRates } from './backlog.js'
import { liveDelays, memoryUnderLoad } from './live.js'
import { storageBench } from './storage.js'

const help = `npm run bench -- [options]

Measures the built service on this machine, with a real broker (mosquitto) and a real database, and prints each figure
beside something to compare with in the same run. Takes about 20 minutes, ten of them for memory.

  --only PART      backlog, delay, memory or storage
  --minutes N      how long memory is watched; 10 if not given
  --repetitions N  of the backlog; 5 if not given
  --json FILE      also writes the figures to FILE
  --help           this text

backlog   readings a second from a full queue at QoS 1: a client that only counts (once with the library's own settings,
          once with the window that the service asks for), and the whole service with five pages listening
delay     from publishing a reading to its event on a page's stream, with five pages
memory    of the service with 10,000 sensors at 5,000 readings a second
storage   appending, bytes for each reading and reading back, beside a plain table keyed by sensor and time`

const parts = ['backlog', 'delay', 'memory', 'storage']
const { values } = parseArgs({
  options: {
    help: { type: 'boolean' },
    only: { type: 'string' },
    minutes: { type: 'string', default: '10' },
    repetitions: { type: 'string', default: '5' },
    json: { type: 'string' },
  },
})
if (values.help) {
  console.log(help)
  process.exit(0)
}
const wrong = (name: string, value: string, remedy: string): never => {
  console.error(`--${name}: ${value} is not possible: ${remedy}.`)
  process.exit(2)
}
if (values.only && !parts.includes(values.only)) wrong('only', values.only, `give one of ${parts.join(', ')}`)
const positive = (name: 'minutes' | 'repetitions'): number => {
  const value = Number(values[name])
  return value > 0 ? value : wrong(name, values[name], 'give a number above 0')
}
const minutes = positive('minutes')
const repetitions = Math.ceil(positive('repetitions'))
const wanted = (part: string) => !values.only || values.only === part

const figures: Record<string, number> = {}
const median = (all: readonly number[]): number => [...all].sort((a, b) => a - b)[all.length >> 1] ?? Number.NaN
const thousands = (rate: number) => `${(rate / 1000).toFixed(1)}k/s`

const sayBacklog = ({ sensors, machines, ...rates }: BacklogRates): void => {
  const [bare, wide, ours] = [median(rates.bare), median(rates.bareWide), median(rates.ours)]
  Object.assign(figures, {
    [`backlogBare${sensors}ReadingsPerSecond`]: bare,
    [`backlogBareWide${sensors}ReadingsPerSecond`]: wide,
    [`backlogOurs${sensors}ReadingsPerSecond`]: ours,
    [`backlogOursToBare${sensors}`]: ours / bare,
    [`backlogOursToBareWide${sensors}`]: ours / wide,
  })
  console.log(
    `  ${String(sensors).padStart(6)} sensors (${machines} machines): bare ${thousands(bare)}, with our window ` +
      `${thousands(wide)}, ours ${thousands(ours)}; ours ÷ bare ${(ours / bare).toFixed(2)}, ` +
      `÷ bare with our window ${(ours / wide).toFixed(2)}`,
  )
}

const cpu = cpus()
const machine = `${cpu[0]?.model.trim()}, ${cpu.length} cores, ${(totalmem() / 2 ** 30).toFixed(0)} GiB, Linux ${release()}, Node ${process.versions.node}`
const load = readFileSync('/proc/loadavg', 'utf8').split(' ')[0]
console.log(`${machine}; load at the beginning ${load}\n`)

if (wanted('backlog')) {
  console.log(`a full queue, medians of ${repetitions}`)
  for (const sensors of [100, 1000, 10_000]) sayBacklog(await backlogRates(sensors, 200_000, repetitions))
}
if (wanted('delay')) {
  console.log('from publishing to the page, 20 s each')
  for (const rate of [1000, 5000]) {
    const { p50, p99, readings } = await liveDelays(1000, rate, 20)
    figures[`delayAt${rate}P50Milliseconds`] = p50
    figures[`delayAt${rate}P99Milliseconds`] = p99
    console.log(`  ${rate} readings/s: p50 ${p50} ms, p99 ${p99} ms (${readings} events)`)
  }
}
if (wanted('memory')) {
  const show = progressLine('memory', process.stderr)
  const seen = await memoryUnderLoad(10_000, 5000, minutes * 60, show)
  const MB = (bytes: number) => bytes / 1e6
  figures.memoryAfterMinuteMegabytes = MB(seen.afterMinute)
  figures.memoryAtEndMegabytes = MB(seen.atEnd)
  figures.memoryMostMegabytes = MB(seen.most)
  console.log(
    `memory with 10,000 sensors at 5,000 readings/s: ${MB(seen.afterMinute).toFixed(0)} MB after a minute, ` +
      `${MB(seen.atEnd).toFixed(0)} MB after ${minutes} min, ${MB(seen.most).toFixed(0)} MB at most; ` +
      `${seen.committed} of ${seen.published} readings stored`,
  )
}
if (wanted('storage')) {
  console.log('storage')
  const found = await storageBench()
  Object.assign(figures, found)
  for (const [name, value] of Object.entries(found)) console.log(`  ${name.padEnd(48)}${value.toPrecision(4)}`)
}
if (values.json) writeFileSync(values.json, `${JSON.stringify({ machine, figures }, null, 2)}\n`)
