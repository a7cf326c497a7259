import { setTimeout as wait } from 'node:timers/promises'
import { connectAsync } from 'mqtt'
import { describe, expect, it, onTestFinished } from 'vitest'
import { shopSchema } from '../../../core/shop.js'
import type { MachineState, Verdict } from '../../../core/state.js'
import { shownMachine } from '../../../server/http/schemas/answers.js'
import { freePort } from '../../free-port.js'
import { temporaryFolder } from '../../temporary-folder.js'
import { running } from '../running.js'

describe('npm run demo', () => {
  it('fills a day, shows every verdict, unknown of the machine whose sensor is silent, and of another once its sensor is unplugged; ends cleanly', async () => {
    const port = await freePort()
    const demo = running('server/demo.js', ['--port', String(port), '--data', temporaryFolder(), '--days', '1'])
    const url = `http://127.0.0.1:${port}`
    await demo.until(/http:\/\/127\.0\.0\.1:\d+\n/)
    expect(demo.said()).toContain(url)
    const broker = (await demo.until(/The broker is (mqtt:\/\/127\.0\.0\.1:\d+)/))[1]!

    const get = async (path: string) => (await fetch(`${url}${path}`)).json()
    await demo.until(/a?1 days? of invented history: \d+ %/)
    expect((await get('/healthz')).filling).toBeLessThan(1)
    await demo.until(/Live now/, 120_000)

    const machines = async (): Promise<MachineState[]> => (await get('/api/machines')).machines
    // the answers of the real monitor are as the interface describes them, with nothing missing and nothing more
    const given = await machines()
    expect(given.map(m => shownMachine.parse(m))).toEqual(given)
    expect(shopSchema.parse((await get('/api/shop')).shop)).toEqual((await get('/api/shop')).shop)
    const shown = given.flatMap(m => m.classes.map(c => c.verdict))
    const count = (verdict: Verdict) => shown.filter(v => v === verdict).length
    const unknown = given.filter(m => m.classes.some(c => c.verdict === 'unknown')).map(m => m.machine)
    expect(unknown).toEqual(['grinder-2'])
    expect(count('fit')).toBeGreaterThan(0)
    expect(count('unfit')).toBeGreaterThan(0)
    const day = Date.now() - 86_400_000
    const { series } = await get(`/api/series?sensors=mill-1-x-screw&from=${day}&to=${Date.now()}`)
    expect(series[0].points.length).toBeGreaterThan(500)
    const { axes } = await get('/api/machines/mill-1/growth')
    for (const { points } of axes) expect(points.length).toBeGreaterThan(100)

    const client = await connectAsync(broker)
    onTestFinished(() => client.endAsync(true))
    await client.publishAsync('simulator/command', 'unplug mill-1-x-screw', { qos: 1 })
    // 2.5 of the sensor's intervals of 10 s, and what the simulator takes
    const from = Date.now()
    let verdicts: Verdict[] = []
    while (!verdicts.includes('unknown') && Date.now() - from < 45_000) {
      await wait(500)
      verdicts = (await machines()).find(m => m.machine === 'mill-1')!.classes.map(c => c.verdict)
    }
    expect(verdicts).toEqual(['unknown', 'unknown', 'unknown'])

    demo.child.kill('SIGINT')
    expect(await demo.ended).toBe(0)
    await expect(fetch(url)).rejects.toThrow()
  }, 240_000)

  it('ends cleanly and soon while it fills', async () => {
    const demo = running('server/demo.js', ['--port', '0', '--data', temporaryFolder()])
    await demo.until(/history: [1-9]\d* %/, 60_000)
    const from = Date.now()
    demo.child.kill('SIGTERM')
    expect(await demo.ended).toBe(0)
    expect(Date.now() - from).toBeLessThan(6000)
  }, 90_000)

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
    const from = Date.now()
    while (runs() && Date.now() - from < 5000) await wait(50)
    expect(runs()).toBe(false)
  }, 60_000)

  it('gives help', async () => {
    const demo = running('server/demo.js', ['--help'])
    expect(await demo.ended).toBe(0)
    expect(demo.said()).toMatch(/--port N[\s\S]*--data FOLDER[\s\S]*--days N[\s\S]*--seed N/)
  })
})
