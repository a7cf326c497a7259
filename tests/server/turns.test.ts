import { afterEach, describe, expect, it, vi } from 'vitest'
import { inTurns, nextTurn } from '../../server/turns.js'

afterEach(() => {
  vi.restoreAllMocks()
})

/** Counts turns of the event loop until it is ended. */
const countingTurns = () => {
  let count = 0
  let ended = false
  const next = (): void => {
    count += 1
    if (!ended) setImmediate(next)
  }
  setImmediate(next)
  return {
    count: () => count,
    end: () => {
      ended = true
    },
  }
}

describe('long work in turns', () => {
  it('does no more in one turn of the event loop than one piece of work may, however many there are', async () => {
    let now = 0
    vi.spyOn(performance, 'now').mockImplementation(() => now)
    const turns = countingTurns()
    const inTurn = new Map<number, number[]>()
    function* work(id: number): Generator<void, number> {
      for (let step = 0; step < 8; step++) {
        now += 4
        const turn = turns.count()
        inTurn.set(turn, [...(inTurn.get(turn) ?? []), id])
        yield
      }
      return id
    }
    expect(await Promise.all([0, 1, 2, 3, 4].map(id => inTurns(work(id))))).toEqual([0, 1, 2, 3, 4])
    turns.end()
    const done = [...inTurn.values()]
    expect(done.flat()).toHaveLength(40)
    // of 4 ms each, three are 12 ms
    expect(Math.max(...done.map(ids => ids.length))).toBe(3)
    for (const ids of done) expect(new Set(ids).size).toBe(1)
    // and nobody waits until another is done
    expect(new Set(done.slice(0, 5).flat()).size).toBe(5)
  })

  it('gives a turn to who comes when none waits, again and again', async () => {
    for (let i = 0; i < 3; i++) await nextTurn()
    await Promise.all([nextTurn(), nextTurn()])
  })

  it('passes on what a step throws, and others go on', async () => {
    const broken = inTurns(
      (function* (): Generator<void, never> {
        yield
        throw new Error('no temperature')
      })(),
    )
    const whole = inTurns(
      (function* (): Generator<void, string> {
        yield
        return 'whole'
      })(),
    )
    await expect(broken).rejects.toThrow('no temperature')
    expect(await whole).toBe('whole')
  })
})
