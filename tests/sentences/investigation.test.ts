import { expect, it } from 'vitest'
import {
  type Assumption,
  assumption,
  type Change,
  change,
  conclusion,
  type Doubt,
  doubt,
  type HeatFindingAnswer,
  otherCause,
  type Settles,
  settles,
  suspect,
} from '../../core/investigation/index.js'
import { type Reader, sayAssumption, sayChange, sayFinding, sayOther, saySettles } from '../../core/sentences/index.js'
import { sayDoubt } from '../../core/sentences/investigation.js'
import { now } from './examples.js'
import { named } from './morning-examples.js'

const readers = (['metric', 'inch', 'tenths'] as const).map(
  (system): Reader => ({ system, zone: 'Europe/Vienna', now }),
)
const [metric] = readers as [Reader]
const told = (value: number, low: number | null, high: number | null) => ({ value, low, high })

const doubts: { [Kind in Doubt['kind']]: Extract<Doubt, { kind: Kind }> } = {
  'too few parts': { kind: 'too few parts', parts: 8, needed: 12 },
  'too little movement': { kind: 'too little movement', predicted: 0.4e-6, scatter: 5e-6 },
  chance: { kind: 'chance', chance: 0.21, level: 0.05 },
  'half days': { kind: 'half days', chance: 0.5, level: 0.05, exchanges: 1999 },
  slope: { kind: 'slope', slope: told(2.6, 2.1, 3.1) },
  wide: { kind: 'wide', explained: told(0.2, -0.3, 0.5) },
  'other explanation': { kind: 'other explanation', name: 'lot', explained: 0.62 },
}
const ways: Settles[] = [
  { kind: 'more parts', parts: 4 },
  { kind: 'two temperatures', parts: 6, apart: 12e-6 },
  { kind: 'measure twice', parts: 10 },
  { kind: 'record', suspect: 'tool wear' },
  { kind: 'turn about', suspect: 'lot' },
  { kind: 'times' },
  { kind: 'datum' },
]
const assumptions: Assumption[] = [
  { kind: 'no datum', machine: 'mill-1', parts: 3 },
  { kind: 'material not said', parts: 3 },
  { kind: 'gauge not said', parts: 3 },
  { kind: 'limits not said', parts: 3 },
  { kind: 'not predicted', why: 'temperatures not known', parts: 1 },
  { kind: 'clock moved', offset: 3600 },
]
const changes: Change[] = [
  { kind: 'held', temperature: 20 },
  { kind: 'datum again', clock: '12:30' },
  { kind: 'machine', machine: 'grinder-2' },
  { kind: 'hour', offset: -7200 },
]
const finding = (more: Partial<HeatFindingAnswer> = {}): HeatFindingAnswer => ({
  conclusion: 'most',
  doubts: [],
  parts: 64,
  explained: told(0.7, 0.56, 0.78),
  asPredicted: 0.69,
  slope: told(0.96, 0.86, 1.12),
  chance: 1 / 2000,
  chanceHalfDays: 1 / 1500,
  exchanges: 1999,
  level: 0.05,
  scatter: 6e-6,
  movement: 5e-6,
  left: 3e-6,
  others: [],
  settles: [],
  ...more,
})

const kindsOf = (schema: { options: readonly { shape: { kind: { value: string } } }[] }) =>
  schema.options.map(({ shape }) => shape.kind.value)

it('there is an example of every kind', () => {
  const same = (given: readonly { kind: string }[], schema: Parameters<typeof kindsOf>[0]) =>
    expect([...new Set(given.map(({ kind }) => kind))].sort()).toEqual([...new Set(kindsOf(schema))].sort())
  same(Object.values(doubts), doubt)
  same(ways, settles)
  same(assumptions, assumption)
  same(changes, change)
})

it('says the conclusion with its strength and the figures behind it', () => {
  expect(sayFinding(finding(), metric)).toEqual({
    text: 'Heat explains most of it',
    more:
      'The prediction takes away 70 % of the variance (56 % to 78 %); parts move 0.96 times as far as predicted ' +
      '(0.86 to 1.12), 1 is expected; by chance it would look so 1 time in 2000.',
  })
  expect(sayFinding(finding({ conclusion: 'not heat', explained: told(-0.2, -0.6, 0.1) }), metric)).toMatchObject({
    text: 'It was not heat',
    more: expect.stringMatching(/takes away nothing of the variance/),
  })
  const few = { conclusion: 'cannot be told', parts: 8, doubts: [doubts['too few parts'], doubts.slope] } as const
  const said = sayFinding(finding({ ...few, doubts: [...few.doubts] }), metric)
  expect(said.text).toBe('It cannot be told: 8 parts are too few, 12 are needed')
  expect(said.more).toMatch(
    /The parts move 2\.60 times as far as heat predicts \(2\.10 to 3\.10\), and 1 is expected\.$/,
  )
})

it('says what else it may be, what would settle it, what was assumed and what could be otherwise', () => {
  const wear = otherCause.parse({
    suspect: 'tool wear',
    answer: 'no sign',
    explained: 0.02,
    chance: 0.4,
    effect: told(0.07e-6, -0.03e-6, 0.16e-6),
  })
  expect(sayOther(wear, metric)).toEqual({
    text: 'Tool wear: no sign of it',
    more: '+0.1 µm for each unit of its count (0 µm to +0.2 µm). By itself it would explain 2 %.',
  })
  expect(saySettles(ways[1]!, metric).more).toMatch(/12 µm of difference/)
  expect(sayChange(changes[3]!, named, metric)).toBe('cut 2 h earlier')
})

it('leaves nothing out in any unit', () => {
  for (const reader of readers) {
    const sentences = [
      ...conclusion.options.flatMap(each =>
        Object.values(doubts).map(one => sayFinding(finding({ conclusion: each, doubts: [one] }), reader)),
      ),
      sayFinding(finding({ explained: null, slope: null, chance: null, doubts: [] }), reader),
      ...ways.map(each => saySettles(each, reader)),
      ...suspect.options.flatMap(each =>
        otherCause.shape.answer.options.map(answer =>
          sayOther({ suspect: each, answer, explained: 0.3, chance: 0.1, effect: told(1e-6, null, null) }, reader),
        ),
      ),
    ]
    for (const { text, more } of sentences) {
      expect(`${text} ${more}`).not.toMatch(/undefined|NaN|null/)
      expect(text).not.toMatch(/[.:]$/)
    }
    for (const text of [
      ...Object.values(doubts).map(each => sayDoubt(each, reader)),
      ...assumptions.map(each => sayAssumption(each, named)),
      ...changes.map(each => sayChange(each, named, reader)),
    ])
      expect(text).not.toMatch(/undefined|NaN|null/)
  }
})
