import { spawn } from 'node:child_process'
import { setTimeout as pause } from 'node:timers/promises'
import { describe, expect, it, onTestFinished } from 'vitest'
import type { MorningCheck } from '../../core/morning/index.js'
import type { MachineState } from '../../core/state.js'
import { freePort } from '../free-port.js'
import { temporaryFolder } from '../temporary-folder.js'

const root = new URL('../..', import.meta.url).pathname

describe('npm run demo', () => {
  it('fills its history, then shows a fit, a settling and an unfit machine, and an unknown one when a sensor is unplugged', async () => {
    const port = await freePort()
    const child = spawn(
      'node',
      ['dist/server/demo.js', '--port', String(port), '--data', `${temporaryFolder()}/demo`, '--days', '2'],
      {
        cwd: root,
        stdio: ['pipe', 'pipe', 'pipe'],
      },
    )
    let output = ''
    child.stdout.on('data', text => {
      output += text
    })
    child.stderr.on('data', text => {
      output += text
    })
    const ended = new Promise<number | null>(resolve => child.once('exit', resolve))
    onTestFinished(() => {
      child.kill('SIGKILL')
    })
    for (let waited = 0; !output.includes('Live now') && waited < 1800; waited++) {
      if (child.exitCode !== null) throw new Error(`the demo ended: ${output}`)
      await pause(100)
    }
    expect(output).toContain(`http://127.0.0.1:${port}`)
    const machines = async () =>
      ((await (await fetch(`http://127.0.0.1:${port}/api/machines`)).json()) as { machines: MachineState[] }).machines
    // a sensor of Grinder 2 is silent on purpose
    const shown = async () =>
      (await machines())
        .filter(m => m.machine !== 'grinder-2')
        .map(m => m.classes.find(c => c.workClass === 'close-bores')!)
    // on a busy machine a sensor's reading may come late just when live begins
    let classes = await shown()
    const missing = () => ['fit', 'settling', 'unfit'].filter(verdict => !classes.some(c => c.verdict === verdict))
    for (
      let waited = 0;
      (missing().length > 0 || classes.some(c => c.verdict === 'unknown')) && waited < 60;
      waited++
    ) {
      await pause(500)
      classes = await shown()
    }
    expect(missing()).toEqual([])
    expect(classes.map(c => c.verdict)).not.toContain('unknown')
    for (const c of classes) {
      // a time, or why none is named
      const why = c.reasons.some(({ kind }) => kind === 'no time' || kind === 'poor record')
      if (c.verdict === 'settling') expect(c.ready !== null || why, JSON.stringify(c)).toBe(true)
      if (c.verdict !== 'fit') expect(c.reasons[0]).toBeDefined()
    }

    expect((await machines()).find(m => m.machine === 'grinder-2')!.classes[0]!.verdict).toBe('unknown')
    // a planned job of each answer; which one a job gets is computed
    const answers = async () =>
      ((await (await fetch(`http://127.0.0.1:${port}/api/morning`)).json()) as MorningCheck).jobs.map(
        ({ answer }) => answer.answer,
      )
    const kinds = ['go', 'go once zeroed', 'wait', 'move', 'not today', 'cannot tell']
    await expect.poll(async () => new Set(await answers()), { timeout: 60_000 }).toEqual(new Set(kinds))

    const broker = output.match(/mqtt:\/\/127\.0\.0\.1:\d+/)![0]
    const told = spawn(
      'node',
      ['dist/simulators/simulate.js', '--broker', broker, '--send', 'unplug grinder-1-x-screw'],
      {
        cwd: root,
      },
    )
    await new Promise(resolve => told.once('exit', resolve))
    let unplugged = ''
    for (let waited = 0; unplugged !== 'unknown' && waited < 120; waited++) {
      await pause(500)
      unplugged = (await machines()).find(m => m.machine === 'grinder-1')!.classes[0]!.verdict
    }
    expect(unplugged).toBe('unknown')

    child.kill('SIGINT')
    expect(await ended).toBe(0)
  }, 400_000)
})
