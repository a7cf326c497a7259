import { type ChildProcess, spawn } from 'node:child_process'
import { existsSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { connect } from 'node:net'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { setTimeout as pause } from 'node:timers/promises'
import { freePort } from './free-port.js'

/** A real broker of its own for one test, on loopback, with the queue settings that the documents recommend. */
export interface Mosquitto {
  readonly port: number
  readonly url: string
  /** the same broker again, with what it had saved */
  start(): Promise<void>
  /** ends it in order: it saves its queues */
  stop(): Promise<void>
  /** ends it as a power cut would */
  kill(): Promise<void>
  /** stops it, running or not, and deletes its files */
  remove(): Promise<void>
}

const program = ['/usr/sbin/mosquitto', '/usr/bin/mosquitto', '/usr/local/sbin/mosquitto'].find(existsSync)

const listens = (port: number): Promise<boolean> =>
  new Promise(resolve => {
    const socket = connect(port, '127.0.0.1')
    socket.once('connect', () => {
      socket.destroy()
      resolve(true)
    })
    socket.once('error', () => resolve(false))
  })

const ended = (child: ChildProcess): Promise<void> =>
  new Promise(resolve => {
    if (child.exitCode !== null || child.signalCode !== null) resolve()
    else child.once('exit', () => resolve())
  })

/**
 * @param settings further lines of its configuration file
 * @throws Error when mosquitto is not installed, or does not start; with what it said
 */
export const startMosquitto = async (settings: readonly string[] = []): Promise<Mosquitto> => {
  if (!program) throw new Error('mosquitto is not installed: sudo apt-get install mosquitto')
  const path = program
  const folder = mkdtempSync(join(tmpdir(), 'quiet-iron-mosquitto-'))
  const port = await freePort()
  const configuration = join(folder, 'mosquitto.conf')
  const lines = [
    `listener ${port} 127.0.0.1`,
    'allow_anonymous true',
    // started by root it would become another user, who may not write here
    ...(process.getuid?.() === 0 ? ['user root'] : []),
    'max_queued_messages 1000000',
    'persistence true',
    `persistence_location ${folder}/`,
    'autosave_interval 30',
    ...settings,
  ]
  writeFileSync(configuration, `${lines.join('\n')}\n`)

  let child: ChildProcess | undefined
  let said = ''
  const end = async (signal: NodeJS.Signals): Promise<void> => {
    const running = child
    child = undefined
    if (!running) return
    running.kill(signal)
    await ended(running)
  }
  const mosquitto: Mosquitto = {
    port,
    url: `mqtt://127.0.0.1:${port}`,
    async start() {
      if (child) return
      said = ''
      const started = spawn(path, ['-c', configuration], { stdio: ['ignore', 'pipe', 'pipe'] })
      child = started
      for (const stream of [started.stdout, started.stderr])
        stream.on('data', (bytes: Buffer) => {
          said = (said + bytes.toString()).slice(-10_000)
        })
      for (let attempt = 0; attempt < 200; attempt += 1) {
        if (await listens(port)) return
        if (started.exitCode !== null) break
        await pause(25)
      }
      await end('SIGKILL')
      throw new Error(`mosquitto did not start on port ${port}:\n${said}`)
    },
    stop: () => end('SIGTERM'),
    kill: () => end('SIGKILL'),
    async remove() {
      await end('SIGTERM')
      rmSync(folder, { recursive: true, force: true })
    },
  }
  await mosquitto.start()
  return mosquitto
}
