import { expect, it } from 'vitest'
import { answerKind, jobAnswer, morningCheck } from '../../core/morning/index.js'
import { type Reader, sayAnswer, sayTodo } from '../../core/sentences/index.js'
import { now } from './examples.js'
import { answers, job, named, todos } from './morning-examples.js'

const readers = (['metric', 'inch', 'tenths'] as const).map(
  (system): Reader => ({ system, zone: 'Europe/Vienna', now }),
)
const [metric] = readers as [Reader]
const checked = [{ job, answer: answers.go[0]! }]

it('there is an example of every answer and every line, each as its schema says', () => {
  expect(Object.keys(answers).sort()).toEqual([...answerKind.options].sort())
  for (const example of Object.values(answers).flat()) expect(jobAnswer.parse(example)).toEqual(example)
  for (const example of Object.values(todos).flat()) expect(morningCheck.shape.todo.parse([example])).toEqual([example])
})

it('says each answer with its time, its interval, why, and what would change it', () => {
  const said = (kind: keyof typeof answers) => answers[kind].map(each => sayAnswer(each, job, named, metric))
  expect(said('go').map(({ answer, why }) => [answer, why])).toEqual([
    ['Go', 'as planned, 21:50'],
    ['Go', 'begun at 22:05, planned for 21:50'],
  ])
  expect(said('wait').map(({ answer, between }) => `${answer} (${between})`)).toEqual([
    'Wait until Tue 00:00 (Likely 23:30, earliest 23:10)',
    'Wait until Tue 00:00 (Likely 23:30, earliest 23:10)',
    'Ask again at 21:50 (Likely as planned)',
    'Ask again at Tue 00:00 (Likely 23:30, earliest 23:10)',
  ])
  expect(said('wait')[1]).toMatchObject({
    why: expect.stringMatching(/^For the part/),
    change: '',
  })
  expect(said('wait')[3]!.change).toMatch(/^Probe again before the finishing cut/)
  expect(said('move')[0]).toMatchObject({
    answer: 'Move to Grinder 2',
    why: expect.stringMatching(/Mill 1 only from 23:30/),
  })
  expect(said('go once zeroed')[0]!.change).toMatch(/^Zero it again and set the datum/)
  expect(said('cannot tell')[0]).toMatchObject({
    answer: 'Cannot tell',
    change: expect.stringMatching(/^Check sensor/),
  })
  expect(said('not today')[0]).toMatchObject({
    answer: 'Not today',
    change: expect.stringMatching(/^Shut the Yard door/),
  })
})

it('leaves nothing out in any unit', () => {
  for (const reader of readers) {
    for (const each of Object.values(answers).flat())
      for (const text of Object.values(sayAnswer(each, job, named, reader)))
        expect(text).not.toMatch(/undefined|NaN|null/)
    for (const each of Object.values(todos).flat()) {
      const { text, more } = sayTodo(each, checked, named, reader)
      expect(text).not.toMatch(/undefined|NaN|null|[.:]$/)
      expect(more).toMatch(/\.$/)
    }
  }
})
