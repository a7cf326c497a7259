import { connectAsync } from 'mqtt'
import { describe, expect, it, onTestFinished } from 'vitest'
import type { MorningCheck } from '../../../core/morning/index.js'
import { shopSchema } from '../../../core/shop.js'
import type { MachineState } from '../../../core/state.js'
import { shownMachine } from '../../../server/http/schemas/answers.js'
import { eventually } from '../../eventually.js'
import { freePort } from '../../free-port.js'
import { temporaryFolder } from '../../temporary-folder.js'
import { running } from '../running.js'
import { atMoment } from './at-moment.js'

describe('npm run demo', () => {
  it('fills its history, shows every verdict and answer, unknown of machines whose sensor is silent or unplugged; ends cleanly', async () => {
    const port = await freePort()
    // what is shown hangs on the hour, and late in the evening nothing settles: half past ten in the shop, a Thursday
    const clock = atMoment(Date.UTC(2026, 10, 26, 9, 30))
    const settings = ['--port', String(port), '--data', temporaryFolder(), '--days', '1']
    const demo = running('server/demo.js', settings, clock.environment)
    const url = `http://127.0.0.1:${port}`
    await demo.until(/http:\/\/127\.0\.0\.1:\d+\n/)
    expect(demo.said()).toContain(url)
    const broker = (await demo.until(/The broker is (mqtt:\/\/127\.0\.0\.1:\d+)/))[1]!

    const get = async (path: string) => (await fetch(`${url}${path}`)).json()
    await demo.until(/a day of invented history: \d+ %/)
    expect((await get('/healthz')).filling).toBeLessThan(1)
    await demo.until(/Live now/)

    const machines = async (): Promise<MachineState[]> => (await get('/api/machines')).machines
    const classesOf = async (machine: string) => (await machines()).find(m => m.machine === machine)!.classes
    // the answers of the real monitor are as the interface describes them, with nothing missing and nothing more
    const given = await machines()
    expect(given.map(m => shownMachine.parse(m))).toEqual(given)
    expect(shopSchema.parse((await get('/api/shop')).shop)).toEqual((await get('/api/shop')).shop)
    // a sensor of Grinder 2 is silent on purpose; on a busy machine another's reading may come late just when live begins
    const shown = async () => {
      const all = (await machines()).flatMap(({ machine, classes }) => classes.map(c => ({ machine, ...c })))
      const unknown = new Set(all.filter(c => c.verdict === 'unknown').map(c => c.machine))
      const verdicts = new Set(all.filter(c => c.workClass === 'close-bores').map(c => c.verdict))
      return { unknown: [...unknown], verdicts: [...verdicts].sort() }
    }
    await expect.poll(shown).toEqual({ unknown: ['grinder-2'], verdicts: ['fit', 'settling', 'unfit', 'unknown'] })
    for (const c of (await machines()).flatMap(({ classes }) => classes)) {
      // a time, or why none is named
      const why = c.reasons.some(({ kind }) => kind === 'no time' || kind === 'poor record')
      if (c.verdict === 'settling') expect(c.ready !== null || why, JSON.stringify(c)).toBe(true)
      if (c.verdict !== 'fit') expect(c.reasons[0]).toBeDefined()
    }
    // a planned job of each answer; which one a job gets is computed
    const answers = async () => ((await get('/api/morning')) as MorningCheck).jobs.map(({ answer }) => answer.answer)
    const kinds = ['go', 'go once zeroed', 'wait', 'move', 'not today', 'cannot tell']
    await expect.poll(async () => new Set(await answers())).toEqual(new Set(kinds))
    const day = clock.now() - 86_400_000
    const { series } = await get(`/api/series?sensors=mill-1-x-screw&from=${day}&to=${clock.now()}`)
    expect(series[0].points.length).toBeGreaterThan(500)
    const { axes } = await get('/api/machines/mill-1/growth')
    for (const { points } of axes) expect(points.length).toBeGreaterThan(100)

    // by a message, and by the simulator's own program
    const client = await connectAsync(broker)
    onTestFinished(() => client.endAsync(true))
    await client.publishAsync('simulator/command', 'unplug mill-1-x-screw', { qos: 1 })
    const told = running('simulators/simulate.js', ['--broker', broker, '--send', 'unplug grinder-1-x-screw'])
    expect(await told.ended).toBe(0)
    // 2.5 of the sensor's intervals of 10 s, and what the simulator takes
    for (const machine of ['mill-1', 'grinder-1'])
      await expect
        .poll(async () => new Set((await classesOf(machine)).map(c => c.verdict)), { interval: 500 })
        .toEqual(new Set(['unknown']))

    demo.child.kill('SIGINT')
    expect(await demo.ended).toBe(0)
    await expect(fetch(url)).rejects.toThrow()
  })

  it('ends cleanly while it fills', async () => {
    const demo = running('server/demo.js', ['--port', '0', '--data', temporaryFolder()])
    await demo.until(/history: [1-9]\d* %/)
    demo.child.kill('SIGTERM')
    expect(await demo.ended).toBe(0)
  })

  it('leaves no simulator behind, even when it is killed', async () => {
    const demo = running('server/demo.js', ['--port', '0', '--data', temporaryFolder(), '--log', 'info'])
    const pid = Number((await demo.until(/simulator is process (\d+)/))[1])
    const runs = () => {
      try {
        return process.kill(pid, 0)
      } catch {
        return false
      }
    }
    expect(runs()).toBe(true)
    await demo.until(/simulator: .*sensors/)
    demo.child.kill('SIGKILL')
    await demo.ended
    await eventually(() => expect(runs()).toBe(false))
  })

  it('gives help', async () => {
    const demo = running('server/demo.js', ['--help'])
    expect(await demo.ended).toBe(0)
    expect(demo.said()).toMatch(/--port N[\s\S]*--data FOLDER[\s\S]*--days N[\s\S]*--seed N/)
  })
})
