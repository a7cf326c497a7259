import { expect, it, onTestFinished } from 'vitest'
import { keepByQuarter } from '../../../../server/studies/morning/kept.js'
import type { NightStudy } from '../../../../server/studies/morning/night.js'

const quarter = 15 * 60_000
const start = Date.UTC(2026, 0, 14, 6)

/** computations that are let go by hand */
const kept = () => {
  const asked: { done: (study: NightStudy) => void; fail: (error: Error) => void }[] = []
  const failed: unknown[] = []
  let now = start
  let ready = true
  const night = keepByQuarter<NightStudy>(
    () => new Promise((done, fail) => asked.push({ done, fail })),
    () => now,
    () => ready,
    error => failed.push(error),
  )
  onTestFinished(() => night.stop())
  return {
    night,
    asked,
    failed,
    pass: (ms: number) => {
      now += ms
    },
    setReady: (is: boolean) => {
      ready = is
    },
  }
}
const study = (machine: string): NightStudy => ({ night: null, machines: [{ machine, axes: [], heat: [] }], gaps: [] })

it('is computed once a quarter of an hour, and the last one stands while the next is computed', async () => {
  const { night, asked, pass } = kept()
  const first = night.now()
  asked[0]!.done(study('one'))
  expect((await first)!.machines[0]!.machine).toBe('one')
  pass(quarter - 1)
  await night.now()
  expect(asked).toHaveLength(1)
  pass(1)
  expect((await night.now())!.machines[0]!.machine).toBe('one')
  await night.now()
  expect(asked).toHaveLength(2)
  asked[1]!.done(study('two'))
  await new Promise(resolve => setImmediate(resolve))
  expect((await night.now())!.machines[0]!.machine).toBe('two')
  expect(asked).toHaveLength(2)
})

it('does not keep anybody waiting for the first one, nor for one that fails', async () => {
  const { night, asked, failed, setReady } = kept()
  setReady(false)
  expect(await night.now()).toBeNull()
  expect(asked).toHaveLength(0)
  setReady(true)
  expect(await night.now()).toBeNull()
  asked[0]!.fail(new Error('the thread failed'))
  await new Promise(resolve => setImmediate(resolve))
  expect(failed).toHaveLength(1)
  const next = night.now()
  asked[1]!.done(study('later'))
  expect((await next)!.machines[0]!.machine).toBe('later')
})
