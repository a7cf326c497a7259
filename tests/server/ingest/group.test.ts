import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import type { Decoded } from '../../../server/ingest/decoder.js'
import { createGroup, type GroupSteps } from '../../../server/ingest/group.js'
import type { Reading } from '../../../server/ingest/reading.js'

const reading = (at: number): Decoded => ({
  readings: [{ sensor: 'a', at, value: 20, receivedAt: at }],
  refusals: [],
})
const refusal: Decoded = { readings: [], refusals: [{ at: 0, topic: 't', reason: 'not a number', sample: '' }] }

const traced = (fails = false, unfit: (readings: readonly Reading[]) => boolean = () => false) => {
  const trace: string[] = []
  const steps: GroupSteps = {
    commit(readings, refusals) {
      if (fails) throw new Error('disk full')
      if (unfit(readings)) throw new RangeError('cannot be stored')
      trace.push(`commit ${readings.length}+${refusals.length}`)
      return readings.slice(0, 1)
    },
    isOfMessage: error => error instanceof RangeError,
    acknowledge: ids => trace.push(`acknowledge ${ids.join(' ')}`),
    committed: fresh => trace.push(`fresh ${fresh.length}`),
    failed: error => trace.push(`failed ${(error as Error).message}`),
  }
  return { trace, steps }
}

describe('a group', () => {
  beforeEach(() => {
    vi.useFakeTimers()
  })
  afterEach(() => {
    vi.useRealTimers()
  })

  it('is committed, then acknowledged in order of arrival, then passed on', () => {
    const { trace, steps } = traced()
    const group = createGroup(steps, 100)
    group.add(reading(1), 7)
    group.add(refusal, 3)
    group.add(reading(2), undefined)
    group.add(reading(3), 7)
    expect(trace).toEqual([])
    group.flush()
    expect(trace).toEqual(['commit 3+1', 'acknowledge 7 3 7', 'fresh 1'])
    vi.advanceTimersByTime(1000)
    group.flush()
    expect(trace).toHaveLength(3)
  })

  it('waits 5 ms for a lone message', () => {
    const { trace, steps } = traced()
    createGroup(steps, 100).add(reading(1), 1)
    vi.advanceTimersByTime(4)
    expect(trace).toEqual([])
    vi.advanceTimersByTime(1)
    expect(trace[0]).toBe('commit 1+0')
  })

  it('waits 50 ms at most while more come', () => {
    const { trace, steps } = traced()
    const group = createGroup(steps, 1000)
    for (let ms = 0; ms < 50; ms += 1) {
      group.add(reading(ms), ms)
      expect(trace).toEqual([])
      vi.advanceTimersByTime(1)
    }
    expect(trace[0]).toBe('commit 50+0')
  })

  it('does not wait once it is large', () => {
    const { trace, steps } = traced()
    const group = createGroup(steps, 3)
    for (let id = 1; id <= 7; id += 1) group.add(reading(id), id)
    expect(trace.filter(step => step.startsWith('acknowledge'))).toEqual(['acknowledge 1 2 3', 'acknowledge 4 5 6'])
    expect(group.size()).toBe(1)
  })

  it('is committed once its messages hold ten thousand parts, however few they are', () => {
    const { trace, steps } = traced()
    const group = createGroup(steps, 100)
    const large = { readings: Array.from({ length: 150_000 }, (_, at) => reading(at).readings[0]!), refusals: [] }
    group.add(reading(1), 1)
    group.add(large, 2)
    expect(trace).toEqual(['commit 150001+0', 'acknowledge 1 2', 'fresh 1'])
    group.add({ readings: [], refusals: Array.from({ length: 10_000 }, () => refusal.refusals[0]!) }, 3)
    expect(trace.slice(3)).toEqual(['commit 0+10000', 'acknowledge 3', 'fresh 0'])
  })

  it('one message that cannot be stored is refused and acknowledged, the others are stored', () => {
    const { trace, steps } = traced(false, readings => readings.some(({ at }) => at === 2))
    const group = createGroup(steps, 100)
    for (const id of [1, 2, 3]) group.add(reading(id), id)
    group.flush()
    expect(trace.filter(step => !step.startsWith('fresh'))).toEqual([
      'commit 1+0',
      'acknowledge 1',
      'commit 0+1',
      'acknowledge 2',
      'commit 1+0',
      'acknowledge 3',
    ])
  })

  it('is not acknowledged where not even the refusal can be stored', () => {
    const { trace, steps } = traced(false, () => true)
    const group = createGroup(steps, 100)
    group.add(reading(1), 1)
    group.flush()
    expect(trace).toEqual(['failed cannot be stored'])
  })

  it('that cannot be committed is neither acknowledged nor kept', () => {
    const { trace, steps } = traced(true)
    const group = createGroup(steps, 100)
    group.add(reading(1), 1)
    group.flush()
    expect(trace).toEqual(['failed disk full'])
    expect(group.size()).toBe(0)
    vi.advanceTimersByTime(1000)
    expect(trace).toHaveLength(1)
  })
})
