import { type ChildProcess, spawn } from 'node:child_process'
import { once } from 'node:events'
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { get } from 'node:http'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { setTimeout as pause } from 'node:timers/promises'
import { freePort } from '../free-port.js'
import { cleaned, within } from './cleaning.js'

const program = new URL('../../dist/server/main.js', import.meta.url).pathname

/** for the service's process alone, such as --cpu-prof or --heapsnapshot-signal=SIGUSR2 */
const nodeOptions = process.env.QUIET_IRON_BENCH_NODE_OPTIONS?.split(' ').filter(Boolean) ?? []

/** readings that were new and are stored */
export const storedMetric = 'quiet_iron_ingest_total{what="stored"}'

/** The built service as a process of its own, on a folder that outlives it. */
export interface BenchService {
  /** of its pages, without a slash at the end */
  address: string
  /** the folder of its database: may be filled before the start */
  data: string
  start(): Promise<void>
  /** ends it in order */
  stop(): Promise<void>
  kill(signal: NodeJS.Signals): void
  /** a number of its /metrics, by name and labels as they are written there; NaN when it is not among them */
  metric(name: string): Promise<number>
  /** an answer of its interface, parsed */
  json(path: string): Promise<unknown>
  /** s of processor time since its start; NaN where the system does not tell */
  processorTime(): number
  /** bytes of memory it holds now (resident set); NaN where the system does not tell */
  resident(): number
  /** @param onEvent name and data of each event of the live stream */
  page(onEvent?: (name: string, data: string) => void): Promise<void>
  /** pages that it broke off while it ran */
  cutOff(): number
  /** ends it at once and deletes its folder; also done when the bench is stopped */
  remove(): Promise<void>
}

/** clock ticks in a second, as Linux tells programs whatever its own are */
const ticks = 100

/** s of processor time of a process; NaN where the system does not tell */
export const processorTime = (pid: number | undefined): number => {
  try {
    const fields = readFileSync(`/proc/${pid}/stat`, 'utf8').split(') ')[1]!.split(' ')
    return (Number(fields[11]) + Number(fields[12])) / ticks
  } catch {
    return Number.NaN
  }
}

const body = (url: string): Promise<string> =>
  new Promise((resolve, reject) => {
    const request = get(url, response => {
      let text = ''
      response.setEncoding('utf8')
      response.on('data', (chunk: string) => {
        text += chunk
      })
      response.on('end', () => resolve(text))
      response.on('error', reject)
    })
    request.on('error', reject)
    request.setTimeout(60_000, () => request.destroy(new Error(`no answer for 60 s from ${url}`)))
  })

/** @throws Error when the service is not built, or does not start */
export const benchService = async (yaml: string, broker: string): Promise<BenchService> => {
  if (!existsSync(program)) throw new Error('the service is not built: npm run build')
  const folder = mkdtempSync(join(tmpdir(), 'quiet-iron-bench-'))
  const shop = join(folder, 'shop.yaml')
  writeFileSync(shop, yaml)
  const port = await freePort()
  const address = `http://127.0.0.1:${port}`
  const data = join(folder, 'data')
  const options = ['--shop', shop, '--broker', broker, '--port', String(port), '--data', data]
  let child: ChildProcess | undefined
  let said = ''
  let stopping = false
  let cutOff = 0
  const metric = async (name: string): Promise<number> => {
    const line = (await body(`${address}/metrics`)).split('\n').find(l => l.startsWith(`${name} `))
    return line ? Number(line.slice(name.length)) : Number.NaN
  }
  const remove = cleaned(async () => {
    const running = child
    stopping = true
    if (running && running.exitCode === null && running.signalCode === null) {
      running.kill('SIGKILL')
      await once(running, 'exit')
    }
    rmSync(folder, { recursive: true, force: true })
  })
  return {
    address,
    data,
    json: async path => JSON.parse(await body(`${address}${path}`)),
    async start() {
      const started = spawn(process.execPath, [...nodeOptions, program, ...options, '--log', 'warn'], {
        stdio: ['ignore', 'pipe', 'pipe'],
        // in a group of its own: the system may end a group that has a held process in it
        detached: true,
      })
      child = started
      stopping = false
      for (const stream of [started.stdout, started.stderr])
        stream.setEncoding('utf8').on('data', (chunk: string) => {
          said = (said + chunk).slice(-2000)
        })
      const until = Date.now() + 60_000
      for (;;) {
        const answered = await body(`${address}/healthz`).then(
          () => true,
          () => false,
        )
        // what is published before it has subscribed is not for it
        if (answered && (await metric('quiet_iron_broker_connected')) === 1) return
        if (started.exitCode !== null || Date.now() > until) throw new Error(`the service does not start: ${said}`)
        await pause(10)
      }
    },
    async stop() {
      if (!child || child.exitCode !== null) return
      stopping = true
      child.kill('SIGTERM')
      await within(30_000, `the service ends: ${said}`, once(child, 'exit'))
    },
    kill(signal) {
      child?.kill(signal)
    },
    metric,
    processorTime: () => processorTime(child?.pid),
    resident() {
      try {
        const found = /VmRSS:\s+(\d+) kB/.exec(readFileSync(`/proc/${child!.pid}/status`, 'utf8'))
        return found ? 1024 * Number(found[1]) : Number.NaN
      } catch {
        return Number.NaN
      }
    },
    page(onEvent) {
      return new Promise((resolve, reject) => {
        const request = get(`${address}/api/live`, response => {
          resolve()
          response.setEncoding('utf8')
          // the service ends before its pages do; one that is cut off while it runs would be no page
          response.on('error', () => undefined)
          response.on('close', () => {
            if (!stopping) cutOff += 1
          })
          if (!onEvent) {
            response.resume()
            return
          }
          let rest = ''
          response.on('data', (chunk: string) => {
            const events = (rest + chunk).split('\n\n')
            rest = events.pop()!
            for (const event of events) {
              const name = /^event: (.*)$/m.exec(event)?.[1]
              const data = /^data: (.*)$/m.exec(event)?.[1]
              if (name && data) onEvent(name, data)
            }
          })
        })
        request.on('error', reject)
      })
    },
    cutOff: () => cutOff,
    remove,
  }
}
