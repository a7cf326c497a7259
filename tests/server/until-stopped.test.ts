import { describe, expect, it, onTestFinished, vi } from 'vitest'
import { untilStopped } from '../../server/until-stopped.js'

/** the process, with its end written down instead of done, and the signal given to what was just registered only */
const interruptible = (stop: () => Promise<void>) => {
  const exits: unknown[] = []
  vi.spyOn(process, 'exit').mockImplementation(code => {
    exits.push(code)
    return undefined as never
  })
  const before = process.listeners('SIGINT')
  const said: string[] = []
  untilStopped(stop, text => said.push(text))
  const added = process.listeners('SIGINT').filter(listener => !before.includes(listener))
  onTestFinished(() => {
    vi.restoreAllMocks()
    for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP'] as const)
      for (const listener of added) process.removeListener(signal, listener)
  })
  return {
    exits,
    said,
    interrupt: () => {
      for (const listener of added) (listener as (signal: string) => void)('SIGINT')
    },
  }
}

describe('untilStopped', () => {
  it('stops, then ends with 0', async () => {
    const stop = vi.fn(async () => undefined)
    const { exits, interrupt } = interruptible(stop)
    interrupt()
    await new Promise(resolve => setImmediate(resolve))
    expect(stop).toHaveBeenCalledOnce()
    expect(exits).toEqual([0])
  })

  it('does not wait for a late stop any more when it has stopped', async () => {
    vi.useFakeTimers()
    onTestFinished(() => {
      vi.useRealTimers()
    })
    const { exits, interrupt } = interruptible(async () => undefined)
    interrupt()
    await vi.advanceTimersByTimeAsync(60_000)
    expect(exits).toEqual([0])
    expect(vi.getTimerCount()).toBe(0)
  })

  it('ends with 1 when stopping fails', async () => {
    const { exits, interrupt } = interruptible(() => Promise.reject(new Error('no')))
    interrupt()
    await new Promise(resolve => setImmediate(resolve))
    expect(exits).toEqual([1])
  })

  it('ends at once when asked again', () => {
    vi.useFakeTimers()
    onTestFinished(() => {
      vi.useRealTimers()
    })
    const { exits, interrupt } = interruptible(() => new Promise(() => undefined))
    interrupt()
    vi.advanceTimersByTime(1000)
    expect(exits).toEqual([])
    interrupt()
    expect(exits).toEqual([130])
  })

  it('takes the signal that npm passes on for the same Ctrl-C', async () => {
    const { exits, said, interrupt } = interruptible(async () => undefined)
    interrupt()
    interrupt()
    await new Promise(resolve => setImmediate(resolve))
    expect(exits).toEqual([0])
    expect(said).toEqual(['SIGINT: stopping; once more ends it at once', 'stopped'])
  })

  it('gives up on a stop that takes too long', async () => {
    vi.useFakeTimers()
    onTestFinished(() => {
      vi.useRealTimers()
    })
    const { exits, interrupt } = interruptible(() => new Promise(() => undefined))
    interrupt()
    await vi.advanceTimersByTimeAsync(15_000)
    expect(exits).toEqual([1])
  })
})
