import { join } from 'node:path'
import { createInterface } from 'node:readline'
import { firstPartsProved } from './demo/datums.js'
import { watchFilling } from './demo/filling.js'
import { freshFolder } from './demo/fresh-folder.js'
import { enterParts, measuredParts } from './demo/measured-parts.js'
import { planDay } from './demo/planned-jobs.js'
import { progressLine } from './demo/progress-line.js'
import { relive } from './demo/relive.js'
import { type Simulator, startSimulator } from './demo/simulator.js'
import { spindlesTested } from './demo/spindles.js'
import { createLog, type Logger } from './log.js'
import { projectRoot } from './project.js'
import { loadSequence } from './recording/load.js'
import { type Service, startService } from './service.js'
import { type DemoSettings, readDemoSettings, usable } from './settings/index.js'
import { describeProblems, readShop } from './shop/index.js'
import { usualRetention } from './store/sqlite.js'
import { untilStopped } from './until-stopped.js'

const day = 86_400_000

/** s between two readings of a sensor in the history; live they come more often */
const historyInterval = 60

const say = (text: string) => process.stdout.write(`${text}\n`)

/** `npm run demo`: the service, its embedded broker, and an invented shop that publishes to it like real sensors. */
const main = async (): Promise<void> => {
  const settings = usable(readDemoSettings(process.argv.slice(2), process.env))
  if (!settings) return
  const log = createLog(settings.log, true)
  try {
    await (settings.replay ? relived(settings, settings.replay, log) : demo(settings, log))
  } catch (error) {
    process.stderr.write(`${error instanceof Error ? error.message : String(error)}\n`)
    process.exit(1)
  }
}

const demo = async (settings: DemoSettings, log: Logger): Promise<void> => {
  const { data, seed, days } = settings
  const read = readShop(join(projectRoot, 'simulators', 'demo-shop.yaml'))
  if ('problems' in read) throw new Error(describeProblems(read.problems))
  freshFolder(data)

  const anchor = Date.now()
  const from = anchor - days * day
  const service = await startService(
    {
      ...settings,
      shop: 'demo',
      broker: { url: 'mqtt://127.0.0.1:0' },
      embeddedBroker: true,
      retention: { ...usualRetention, readingDays: Math.max(usualRetention.readingDays, days + 1) },
    },
    { shop: read.shop, log, history: { from, interval: historyInterval } },
  )
  await spindlesTested(service, from)
  const filled = new AbortController()
  let simulator: Simulator | undefined
  untilStopped(async () => {
    filled.abort()
    await simulator?.stop()
    await service.stop()
  }, say)

  say(`Quiet Iron, with an invented shop: every machine, sensor and reading is made up.\n\n  ${service.url}\n`)
  say(`The broker is ${service.broker.url}, the database lies in ${data} (a new one each time). Ctrl-C ends it.`)
  if (service.tokenFile) say(`Writes need the token that lies in ${service.tokenFile}`)

  const lasting = days === 14 ? 'two weeks' : days === 1 ? 'a day' : `${days} days`
  const progress = progressLine(`${lasting} of invented history`, process.stdout)
  let live = false
  simulator = startSimulator({
    broker: service.broker.url,
    seed,
    days,
    interval: historyInterval,
    anchor,
    parts: join(data, measuredParts),
    // until then it tells of its own progress only
    onLine: line => (live ? say(`simulator: ${line}`) : log.info(`simulator: ${line}`)),
    onEnd: why =>
      log.error(`The simulator has ended (${why}): no readings come any more. End the demo and start it again.`),
  })
  log.info(`the simulator is process ${simulator.pid}`)
  await watchFilling(
    service,
    {
      from,
      to: anchor,
      round: Math.max(0, ...read.shop.sensors.map(s => s.interval).filter(s => s < historyInterval)) * 1000,
      onProgress: progress,
      onMoment: firstPartsProved(service, read.shop),
      onStuck: seconds => log.warn(`No history has come for ${seconds} s.`),
    },
    filled.signal,
  )
  live = true
  await planDay(service, read.shop)
  await enterParts(service, read.shop, data)
  takeCommands(simulator, service)
}

/** `--recording FILE`: a recorded time is lived again. */
const relived = async (
  settings: DemoSettings,
  { recording, shop: file, speed }: NonNullable<DemoSettings['replay']>,
  log: Logger,
): Promise<void> => {
  const read = readShop(file)
  if ('problems' in read) throw new Error(describeProblems(read.problems))
  const wanted = { file: recording, from: null, to: null }
  const { sequence } = await loadSequence(wanted, read.shop, text => process.stderr.write(`${text}\n`))
  freshFolder(settings.data)
  const progress = progressLine('the recording', process.stdout)
  const { service, ended, stop } = await relive(settings, read.shop, sequence, speed, log, progress)
  untilStopped(stop, say)
  const iso = (at: number | undefined) => new Date(at ?? 0).toISOString()
  say(`Quiet Iron lives a recording again, ${speed} × as fast: every page says so.\n\n  ${service.url}\n`)
  say(`It goes from ${iso(sequence.at[0])} to ${iso(sequence.at.at(-1))}. Ctrl-C ends it.`)
  if (service.tokenFile) say(`Writes need the token that lies in ${service.tokenFile}`)
  await ended
  progress(1)
  say('The recording is at its end; the pages stay as they were then.')
}

/** What is typed here is told to the simulator. */
const takeCommands = (simulator: Simulator, service: Service): void => {
  const other = `npm run simulate -- --broker ${service.broker.url} --send "unplug mill-1-x-screw"`
  if (!process.stdin.isTTY) {
    say(`Live now. To disturb it: ${other} ("help" lists what can be done)`)
    return
  }
  say(`Live now. To disturb it type "unplug mill-1-x-screw", "plug mill-1-x-screw" or "help" here, or run\n  ${other}`)
  createInterface({ input: process.stdin }).on('line', line => simulator.tell(line))
}

await main()
