import { expect, it } from 'vitest'
import type { AnsweredJob, JobAnswer } from '../../../../core/morning/index.js'
import { spindleWarmUps } from '../../../../server/studies/morning/spindle-warm-ups.js'
import { sentTest, sixTools } from '../../../core/spindle/sent-test.js'
import { appFor, local, now } from '../../http/fakes.js'

const hour = 3_600_000

it('says when a spindle’s warm-up must begin for the job whose tool list asks for it', async () => {
  const { app, store } = await appFor()
  const post = async (path: string, payload: object) =>
    (await app.inject({ method: 'POST', url: `/api/machines/mill${path}`, headers: local, payload })).json()
  const warmUp = { highest: '12000 1/min', step: '4000 1/min', hold: '5 min' }
  const fastFirst = [sixTools[1]!, sixTools[0]!].map(tool => ({ ...tool, after: '' }))
  const cold = await post('/tool-lists', { by: 'Ada', name: 'cold', tools: fastFirst })
  const warm = await post('/tool-lists', { by: 'Ada', name: 'warm', tools: fastFirst, warmUp })
  const asked = (tools: number, over: Partial<JobAnswer> = {}): AnsweredJob => ({
    job: {
      id: 7,
      part: 'Pump housing',
      features: [{ name: 'bore', length: 0.12, tolerance: 22e-6 }],
      material: 'steel',
      machines: ['mill', 'other'],
      start: now + 2 * hour,
      duration: 2700,
      share: 0.3,
      zeroedAt: 'job start',
      from: { kind: 'shop' },
      tools,
      enteredAt: now,
      by: 'Ada',
    },
    answer: {
      job: 7,
      at: now,
      answer: 'go',
      machine: 'mill',
      start: now + 2 * hour,
      ready: null,
      waitsFor: null,
      asPlanned: null,
      asAdvised: null,
      change: null,
      windows: [],
      reasons: [],
      ...over,
    },
  })
  // a spindle that nobody tested: nothing can be said
  expect(await spindleWarmUps(store, [asked(warm.id)], now)).toEqual([])
  await post('/spindle', sentTest(1, '2026-01-14 06:00'))
  const { answer } = (await app.inject({ url: `/api/machines/mill/tool-lists/${warm.id}`, headers: local })).json()
  expect(answer.warmUp.duration).toBeGreaterThan(600)
  const [line, ...others] = await spindleWarmUps(store, [asked(cold.id), asked(warm.id)], now)
  expect(others).toEqual([])
  expect(line).toEqual({
    by: now + 2 * hour - 1000 * answer.warmUp.duration,
    about: {
      kind: 'spindle warm-up',
      machine: 'mill',
      list: warm.id,
      job: 7,
      duration: answer.warmUp.duration,
      speed: 11_500 / 60,
    },
    jobs: [],
  })
  // later where the job waits; not where it is not done, is done elsewhere, or should have begun
  const late = await spindleWarmUps(store, [asked(warm.id, { answer: 'wait', start: now + 3 * hour })], now)
  expect(late[0]!.by! - line!.by!).toBe(hour)
  for (const over of [{ start: null }, { machine: 'other' }, { start: now - 1 }])
    expect(await spindleWarmUps(store, [asked(warm.id, over)], now)).toEqual([])
})
