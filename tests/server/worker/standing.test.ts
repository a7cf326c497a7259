import { Readable } from 'node:stream'
import { text } from 'node:stream/consumers'
import { expect, it, vi } from 'vitest'
import type { BesideWorker } from '../../../server/worker/index.js'
import { withStandingAnswers } from '../../../server/worker/standing.js'
import { factsInMemory } from '../store/facts-in-memory.js'

const hour = 3_600_000
const datum = { machine: 'm', at: 0, by: '', note: '', temperatures: {} }

/** a worker that counts what it is asked, and answers when it is let */
const counting = (status = 200) => {
  let asked = 0
  let open: (() => void) | null = null
  const worker = {
    ask: async () => {
      asked += 1
      const body = Readable.from([Buffer.from(`answer ${asked}`)])
      if (open) await new Promise<void>(resolve => (open = resolve))
      return { status, headers: {}, failure: null, body }
    },
    setShop: () => undefined,
    stop: async () => undefined,
  } as unknown as BesideWorker
  return {
    worker,
    asked: () => asked,
    hold: () => (open = () => undefined),
    release: () => open!(),
  }
}
const kept = (of: ReturnType<typeof counting>, facts = factsInMemory()) => ({
  facts,
  beside: withStandingAnswers(of.worker, facts, url => url.startsWith('/kept'), ['datum']),
})
const told = async (beside: BesideWorker, url: string, now = 0) => text((await beside.ask(url, now)).body)

it('gives an answer again until something is recorded that it stands on, or it is too old', async () => {
  const of = counting()
  const { beside, facts } = kept(of)
  expect([await told(beside, '/kept'), await told(beside, '/kept', hour)]).toEqual(['answer 1', 'answer 1'])
  expect(await told(beside, '/kept?other')).toBe('answer 2')
  await facts.record('datum', [datum])
  expect(await told(beside, '/kept', hour)).toBe('answer 3')
  expect(await told(beside, '/kept', 3 * hour)).toBe('answer 4')
  beside.setShop({} as never)
  expect(await told(beside, '/kept', 3 * hour)).toBe('answer 5')
})
it('keeps nothing else, and no refusal', async () => {
  const of = counting()
  const { beside } = kept(of)
  expect([await told(beside, '/other'), await told(beside, '/other')]).toEqual(['answer 1', 'answer 2'])
  const refused = kept(counting(404))
  expect([await told(refused.beside, '/kept'), await told(refused.beside, '/kept')]).toEqual(['answer 1', 'answer 2'])
})
it('computes once for all who ask meanwhile, and begins anew for who asks after a change', async () => {
  const of = counting()
  const { beside, facts } = kept(of)
  of.hold()
  const first = [told(beside, '/kept'), told(beside, '/kept')]
  of.release()
  expect(await Promise.all(first)).toEqual(['answer 1', 'answer 1'])
  of.hold()
  await facts.record('datum', [datum])
  const second = told(beside, '/kept')
  of.release()
  expect(await second).toBe('answer 2')
  expect(of.asked()).toBe(2)
})
it('asks ahead for what is wanted, and again when it changed', async () => {
  vi.useFakeTimers()
  try {
    const of = counting()
    const { beside, facts } = kept(of)
    let wanted = false
    beside.askAhead('/kept', () => wanted, Date.now)
    await vi.advanceTimersByTimeAsync(20_000)
    expect(of.asked()).toBe(0)
    wanted = true
    await vi.advanceTimersByTimeAsync(20_000)
    expect(of.asked()).toBe(1)
    await facts.record('datum', [datum])
    await vi.advanceTimersByTimeAsync(20_000)
    expect(of.asked()).toBe(2)
    await vi.advanceTimersByTimeAsync(hour)
    expect(of.asked()).toBe(3)
    await beside.stop()
  } finally {
    vi.useRealTimers()
  }
})
