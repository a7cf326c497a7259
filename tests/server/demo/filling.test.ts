import { describe, expect, it, onTestFinished, vi } from 'vitest'
import { watchFilling } from '../../../server/demo/filling.js'
import type { Service } from '../../../server/service.js'

const hour = 3_600_000

/** a filling that a test moves on; time stands until it does */
const watched = () => {
  vi.useFakeTimers({ now: 100 * hour })
  onTestFinished(() => {
    vi.useRealTimers()
  })
  const from = 90 * hour
  const parts: (number | null)[] = []
  const state = { now: from, filled: 0, stuck: 0, done: false }
  const service = {
    now: () => state.now,
    historyFilled: () => {
      state.filled += 1
    },
    monitor: { setFilling: (part: number | null) => parts.push(part) },
  } as unknown as Service
  const end = new AbortController()
  const progress: number[] = []
  watchFilling(
    service,
    { from, to: 100 * hour, round: 10_000, onProgress: part => progress.push(part), onStuck: () => state.stuck++ },
    end.signal,
  ).then(() => {
    state.done = true
  })
  return { state, parts, progress, end, from, pass: (ms: number) => vi.advanceTimersByTimeAsync(ms) }
}

describe('watchFilling', () => {
  it('tells the monitor how far it is', async () => {
    const { state, parts, from, pass } = watched()
    await pass(250)
    state.now = from + 5 * hour
    await pass(250)
    expect(parts).toEqual([0, 0.5])
    expect(state.done).toBe(false)
  })

  it('hands over to the clock only once the readings have caught up with it, not at the end of the history', async () => {
    const { state, progress, pass } = watched()
    await pass(60_000)
    // the history is over, but a minute has passed while it was filled in
    state.now = 100 * hour
    await pass(250)
    expect(state.done).toBe(false)
    expect(Math.max(...progress)).toBeLessThan(1)
    state.now = Date.now() - 1000
    await pass(250)
    expect(state).toMatchObject({ done: true, filled: 1 })
    expect(progress.at(-1)).toBe(1)
  })

  it('waits, however soon the history is in, until every sensor has reported at its own interval', async () => {
    const { state, pass } = watched()
    await pass(2_000)
    state.now = Date.now()
    await pass(2_000)
    state.now = Date.now()
    await pass(250)
    expect(state.done).toBe(false)
    await pass(6_000)
    state.now = Date.now()
    await pass(250)
    expect(state.done).toBe(true)
  })

  it('hands over when nothing more comes after the end of the history', async () => {
    const { state, pass } = watched()
    await pass(60_000)
    state.now = 100 * hour + 1
    await pass(19_000)
    expect(state.done).toBe(false)
    await pass(3_000)
    expect(state.done).toBe(true)
  })

  it('says so when nothing comes before, and waits on', async () => {
    const { state, pass } = watched()
    await pass(45_000)
    expect(state).toMatchObject({ stuck: 2, done: false })
  })

  it('ends when the demo does', async () => {
    const { state, end, parts, pass } = watched()
    await pass(250)
    end.abort()
    state.now = 100 * hour
    await pass(60_000)
    expect(state.filled).toBe(0)
    expect(parts).toHaveLength(1)
  })
})
