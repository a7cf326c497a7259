import { type ChildProcess, spawn } from 'node:child_process'
import { once } from 'node:events'
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { get } from 'node:http'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { setTimeout as pause } from 'node:timers/promises'
import { freePort } from '../free-port.js'

const program = new URL('../../dist/server/main.js', import.meta.url).pathname

/** readings that were new and are stored */
export const storedMetric = 'quiet_iron_ingest_total{what="stored"}'

/** The built service as a process of its own, on a folder that outlives it. */
export interface BenchService {
  start(): Promise<void>
  /** ends it in order */
  stop(): Promise<void>
  /** a number of its /metrics, by name and labels as they are written there; NaN when it is not among them */
  metric(name: string): Promise<number>
  /** bytes of memory it holds now (resident set); NaN where the system does not tell */
  resident(): number
  /** @param onEvent name and data of each event of the live stream */
  page(onEvent?: (name: string, data: string) => void): Promise<void>
  remove(): void
}

const body = (url: string): Promise<string> =>
  new Promise((resolve, reject) => {
    get(url, response => {
      let text = ''
      response.setEncoding('utf8')
      response.on('data', (chunk: string) => {
        text += chunk
      })
      response.on('end', () => resolve(text))
      response.on('error', reject)
    }).on('error', reject)
  })

/** @throws Error when the service is not built, or does not start */
export const benchService = async (yaml: string, broker: string): Promise<BenchService> => {
  if (!existsSync(program)) throw new Error('the service is not built: npm run build')
  const folder = mkdtempSync(join(tmpdir(), 'quiet-iron-bench-'))
  const shop = join(folder, 'shop.yaml')
  writeFileSync(shop, yaml)
  const port = await freePort()
  const address = `http://127.0.0.1:${port}`
  const options = ['--shop', shop, '--broker', broker, '--port', String(port), '--data', join(folder, 'data')]
  let child: ChildProcess | undefined
  let said = ''
  return {
    async start() {
      const started = spawn(process.execPath, [program, ...options, '--log', 'warn'], {
        stdio: ['ignore', 'pipe', 'pipe'],
      })
      child = started
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
        if (answered) return
        if (started.exitCode !== null || Date.now() > until) throw new Error(`the service does not start: ${said}`)
        await pause(10)
      }
    },
    async stop() {
      if (!child || child.exitCode !== null) return
      child.kill('SIGTERM')
      await once(child, 'exit')
    },
    async metric(name) {
      const line = (await body(`${address}/metrics`)).split('\n').find(l => l.startsWith(`${name} `))
      return line ? Number(line.slice(name.length)) : Number.NaN
    },
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
          // the service ends before its pages do
          response.on('error', () => undefined)
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
    remove() {
      child?.kill('SIGKILL')
      rmSync(folder, { recursive: true, force: true })
    },
  }
}
