import { type ChildProcess, spawn } from 'node:child_process'
import { readFileSync } from 'node:fs'
import { createServer, type Server } from 'node:net'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { Aedes } from 'aedes'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { freePort } from '../free-port.js'
import { patience } from '../patience.js'
import { temporaryFolder } from '../temporary-folder.js'

const program = fileURLToPath(new URL('../../dist/simulators/simulate.js', import.meta.url))

/** ms; programs are started and waited for */

interface Run {
  child: ChildProcess
  output: () => string
  ended: Promise<number | null>
}
const runs: Run[] = []
const run = (...options: string[]): Run => {
  const child = spawn(process.execPath, [program, ...options], { stdio: ['pipe', 'pipe', 'pipe'] })
  let said = ''
  for (const stream of [child.stdout, child.stderr]) stream?.on('data', chunk => (said += chunk))
  const ended = new Promise<number | null>(resolve => child.once('exit', resolve))
  const started = { child, output: () => said, ended }
  runs.push(started)
  return started
}
const until = async (what: () => boolean, why: () => string): Promise<void> => {
  const end = Date.now() + patience
  while (!what()) {
    if (Date.now() > end) throw new Error(`it did not happen; said so far:\n${why()}`)
    await new Promise(resolve => setTimeout(resolve, 50))
  }
}

let broker: Aedes
let server: Server
let url: string
let port: number
let messages: { topic: string; payload: string; qos: number; retain: boolean }[]

const openBroker = async (): Promise<void> => {
  broker = await Aedes.createBroker()
  server = createServer(broker.handle)
  broker.on('publish', packet => {
    if (!packet.topic.startsWith('$SYS'))
      messages.push({ topic: packet.topic, payload: packet.payload.toString(), qos: packet.qos, retain: packet.retain })
  })
  await new Promise<void>(resolve => server.listen(port, '127.0.0.1', resolve))
}
const closeBroker = async (): Promise<void> => {
  await new Promise<void>(resolve => broker.close(() => server.close(() => resolve())))
}

beforeEach(async () => {
  messages = []
  port = await freePort()
  url = `mqtt://127.0.0.1:${port}`
  await openBroker()
})
afterEach(async () => {
  for (const { child } of runs.splice(0)) child.kill('SIGKILL')
  await closeBroker()
})

describe('npm run simulate', () => {
  const anchor = Date.UTC(2025, 1, 4, 10)

  it('publishes history with past times, says how far it is, goes live, obeys, and ends in order', async () => {
    const truthFile = join(temporaryFolder(), 'truth.csv')
    const started = run(
      '--broker',
      url,
      '--anchor',
      new Date(anchor).toISOString(),
      '--history',
      '0.25',
      '--seed',
      '3',
      '--speed',
      '20',
      '--truth',
      truthFile,
    )
    await until(() => started.output().includes('Live now'), started.output)
    const last = messages.findIndex(
      message => message.topic === 'simulator/progress' && JSON.parse(message.payload).part === 1,
    )
    expect(JSON.parse(messages[last]!.payload)).toEqual({ part: 1, anchor })
    const history = messages.slice(0, last).filter(message => message.topic.startsWith('shop/'))
    const air = history
      .filter(message => message.topic === 'shop/mill-1/air')
      .map(message => JSON.parse(message.payload).time)
    expect(air).toHaveLength(360)
    expect(Math.min(...air)).toBeGreaterThan(anchor - 6 * 3_600_000)
    expect(Math.max(...air)).toBeLessThanOrEqual(anchor)
    expect(history.some(message => message.topic === 'shop/oven/air')).toBe(false)
    expect(messages.every(message => message.qos === 1 && !message.retain)).toBe(true)

    const truth = readFileSync(truthFile, 'utf8').split('\n')
    expect(truth[0]).toMatch(/^time,machine,axis,growthAtZeroM/)
    const ofAxis = truth.filter(line => line.includes(',mill-1,X,'))
    expect(ofAxis.length).toBeGreaterThanOrEqual(360)
    expect(ofAxis[359]!.startsWith(`${new Date(anchor).toISOString()},mill-1,X,`)).toBe(true)
    expect(Math.abs(Number(ofAxis[359]!.split(',')[4]))).toBeLessThan(60e-6)

    const live = () => messages.slice(last).filter(message => message.topic === 'shop/mill-3/x-scale')
    await until(() => live().length > 0, started.output)
    expect(await run('--broker', url, '--send', 'unplug mill-3-x-scale').ended).toBe(0)
    await until(() => started.output().includes('mill-3-x-scale: unplugged'), started.output)
    started.child.stdin!.write('open back-door\nfault mill-1-air power-on\n')
    await until(() => messages.some(message => message.payload.startsWith('{"value":85,')), started.output)
    expect(started.output()).toContain('There is no door "back-door". There are: dock-door, yard-door.')
    const before = live().length
    await new Promise(resolve => setTimeout(resolve, 2500))
    expect(live().length).toBe(before)
    expect(messages.slice(last).some(message => message.topic === 'shop/oven/air')).toBe(true)

    started.child.kill('SIGINT')
    expect(await started.ended).toBe(0)
    expect(started.output()).toMatch(/Ended; \d+ messages were acknowledged/)
  })

  it('runs live faster than the clock when asked', async () => {
    const started = run('--broker', url, '--anchor', String(anchor), '--speed', '600')
    const newest = () => messages.filter(message => message.topic === 'shop/mill-1/air').at(-1)
    await until(() => Boolean(newest() && JSON.parse(newest()!.payload).time > anchor + 20 * 60_000), started.output)
    started.child.kill('SIGINT')
    expect(await started.ended).toBe(0)
  })

  it('outlives the broker, sends later what was measured meanwhile, and says so', async () => {
    const started = run('--broker', url, '--anchor', String(anchor), '--speed', '20')
    const times = () =>
      messages.filter(message => message.topic === 'shop/mill-1/air').map(message => JSON.parse(message.payload).time)
    await until(() => times().length > 0, started.output)
    await closeBroker()
    await until(() => started.output().includes('The broker is gone'), started.output)
    await new Promise(resolve => setTimeout(resolve, 2500))
    await openBroker()
    const before = times().length
    await until(() => times().length >= before + 2, started.output)
    await until(() => started.output().includes('The broker is back.'), started.output)
    const seen = [...new Set(times())]
    for (let i = 1; i < seen.length; i++) expect(seen[i]! - seen[i - 1]!).toBe(10_000)
  })

  it('ends by Ctrl-C though no broker ever answered, and says what to do', async () => {
    const started = run('--broker', `mqtt://127.0.0.1:${await freePort()}`)
    await until(() => started.output().includes('Start one, or name another with --broker'), started.output)
    started.child.kill('SIGINT')
    expect(await started.ended).toBe(0)
  })

  it('explains itself, and refuses what it does not understand', async () => {
    const help = run('--help')
    expect(await help.ended).toBe(0)
    for (const word of ['--history', 'quiet-night', 'unplug SENSOR', '50 minutes for 15 minutes'])
      expect(help.output()).toContain(word)
    const wrong = run('--scenario', 'monday')
    expect(await wrong.ended).toBe(2)
    expect(wrong.output()).toMatch(/there is no scenario "monday"; there are ordinary, demo, .*\(see --help\)/)
    const late = run('--anchor', 'noon')
    expect(await late.ended).toBe(2)
    expect(late.output()).toContain('write it like 2025-01-31T08:00:00Z')
  })
})
