import { type ChildProcess, spawn } from 'node:child_process'
import { existsSync } from 'node:fs'
import { join } from 'node:path'
import { createInterface } from 'node:readline'
import { pathToFileURL } from 'node:url'
import { projectRoot } from '../project.js'

const program = join(projectRoot, 'dist', 'simulators', 'simulate.js')
const endsWithParent = pathToFileURL(join(projectRoot, 'dist', 'server', 'demo', 'ends-with-parent.js')).href

interface SimulatorOptions {
  /** mqtt://host:port */
  broker: string
  seed: number
  /** days of history before the anchor */
  days: number
  /** s between two readings of a sensor in it */
  interval: number
  /** ms; where live begins */
  anchor: number
  /** file for the parts of last week as somebody measured them; written before live begins */
  parts: string
  /** what it says, line by line */
  onLine(line: string): void
  /** it ended without having been asked to */
  onEnd(why: string): void
}

export interface Simulator {
  /** its process */
  readonly pid: number | undefined
  /** one line as typed by a person: "unplug SENSOR" */
  tell(line: string): void
  stop(): Promise<void>
}

/** Runs the simulator beside the service, in a process of its own: it is connected by nothing but MQTT. */
export const startSimulator = (given: SimulatorOptions): Simulator => {
  const { broker, seed, anchor, parts, onLine, onEnd } = given
  if (!existsSync(program)) throw new Error(`The simulator is not built (${program}). Run "npm run build" first.`)
  const options = {
    broker,
    scenario: 'demo',
    seed,
    anchor,
    parts,
    history: given.days,
    'history-interval': given.interval,
  }
  const child = spawn(
    process.execPath,
    ['--import', endsWithParent, program, ...Object.entries(options).map(([name, value]) => `--${name}=${value}`)],
    { stdio: ['pipe', 'pipe', 'pipe', 'ipc'] },
  )
  const { stdin, stdout, stderr } = child
  if (!stdin || !stdout || !stderr) throw new Error('The simulator could not be started: no pipes to it.')
  let stopped = false
  for (const stream of [stdout, stderr]) createInterface({ input: stream }).on('line', onLine)
  // a line told to a simulator that has just ended is told to nobody
  stdin.on('error', () => undefined)
  const ended = endOf(child)
  ended.then(why => {
    if (!stopped) onEnd(why)
  })
  return {
    pid: child.pid,
    tell: line => stdin.write(`${line}\n`),
    async stop() {
      stopped = true
      child.kill('SIGTERM')
      const late = setTimeout(() => child.kill('SIGKILL'), 5000)
      await ended
      clearTimeout(late)
    },
  }
}

const endOf = (child: ChildProcess): Promise<string> =>
  new Promise(resolve => {
    child.once('error', error => resolve(error.message))
    child.once('exit', (code, signal) => resolve(signal ?? `exit code ${code}`))
  })
