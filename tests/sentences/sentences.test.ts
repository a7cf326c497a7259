import { execFileSync } from 'node:child_process'
import { expect, it } from 'vitest'
import {
  type Reader,
  type Sentence,
  sayCommonCause,
  sayReason,
  sayRefusal,
  sayRemedy,
  saySensorFault,
  saySpindleWarning,
} from '../../core/sentences/index.js'
import { size } from '../../core/sentences/reader.js'
import { commonCause, fault, reason, remedy } from '../../core/state.js'
import { causes, commonCauses, faults, now, reasons, refusals, remedies, spindleWarnings } from './examples.js'

const readers = (['metric', 'inch', 'tenths'] as const).map(
  (system): Reader => ({ system, zone: 'Europe/Vienna', now }),
)
const [metric, inch, tenths] = readers as [Reader, Reader, Reader]
const all: { example: object; say: (to: Reader) => Sentence }[] = [
  ...Object.values(reasons)
    .flat()
    .map(example => ({ example, say: (to: Reader) => sayReason(example, to) })),
  ...Object.values(remedies)
    .flat()
    .map(example => ({ example, say: (to: Reader) => sayRemedy(example, to) })),
  ...Object.values(commonCauses)
    .flat()
    .map(example => ({ example, say: (to: Reader) => sayCommonCause(example, to) })),
  ...Object.values(faults)
    .flat()
    .map(example => ({ example, say: (to: Reader) => saySensorFault(example, to) })),
  ...Object.values(spindleWarnings)
    .flat()
    .map(example => ({ example, say: (to: Reader) => saySpindleWarning(example, to) })),
]
const isRecorded = ({ example }: { example: object }) => (example as { kind: string }).kind === 'told'
const metricUnit = /\d (µm|mm|K|°C)(?![a-z])/
const inchUnit = /\d (in|tenths|°F)(?![a-z])/

/** the kinds that a union's schema knows */
const kindsOf = (schema: { options: readonly { shape: { kind: { values: ReadonlySet<unknown> } } }[] }) =>
  schema.options.flatMap(option => [...option.shape.kind.values]).sort()

it('there is an example of every kind of reason, remedy and fault, each as its schema says', () => {
  expect(Object.keys(reasons).sort()).toEqual(kindsOf(reason))
  expect(Object.keys(remedies).sort()).toEqual(kindsOf(remedy))
  expect(Object.keys(faults).sort()).toEqual(kindsOf(fault))
  const cause = reason.options.find(option => option.shape.kind.value === 'uncertainty')!
  expect(Object.keys(causes).sort()).toEqual(kindsOf((cause.shape as unknown as { cause: typeof fault }).cause))
  for (const example of Object.values(reasons).flat()) expect(reason.parse(example)).toEqual(example)
  for (const example of Object.values(remedies).flat()) expect(remedy.parse(example)).toEqual(example)
  expect(Object.keys(commonCauses).sort()).toEqual([...commonCause.shape.kind.options].sort())
  for (const example of Object.values(commonCauses).flat()) expect(commonCause.parse(example)).toEqual(example)
  for (const example of Object.values(faults).flat()) expect(fault.parse(example)).toEqual(example)
})

it('why an identified time constant is not used is said in both units, in the words of before', () => {
  const said = (to: Reader) => Object.values(refusals).map(refusal => sayRefusal(refusal, to))
  expect(said(metric)).toEqual([
    'only 24 h of readings of both; 36 h are needed',
    'the surroundings moved it by only 0.04 K; 0.10 K are needed',
    'the fit is uncertain by more than 25 %',
    'the fit ends at the bounds of what is plausible, 2 min and 2 d',
    'it moves at two speeds: the answers run from 9 min to 4 h 40 min',
    'the residuals are not explained: they still resemble each other by 72 %',
    'what is configured is as sure (10 %) as what was found (12 %)',
    'Hall air middle explains it better than air at the machine, and with 1 h 30 min instead of 1 h',
    refusals.told.text,
  ])
  expect(said(inch)[1]).toBe('the surroundings moved it by only 0.07 °F; 0.18 °F are needed')
  expect(said(inch).toSpliced(1, 1)).toEqual(said(metric).toSpliced(1, 1))
})

it('each says in both units what is so, and what would change it or what to do', () => {
  for (const each of all.filter(one => !isRecorded(one))) {
    const [inMetric, inInches, inTenths] = [each.say(metric), each.say(inch), each.say(tenths)]
    expect(inTenths.text.includes(' tenths')).toBe(/\b0\.\d{4} in/.test(inInches.text))
    for (const { text, more } of [inMetric, inInches, inTenths]) {
      expect(text).not.toMatch(/undefined|NaN|null|known only to/)
      expect(text).not.toMatch(/[.:]$/)
      expect(more).toMatch(/\.$/)
    }
    const [said, saidInInches] = [inMetric, inInches].map(({ text, more }) => `${text} ${more}`) as [string, string]
    expect(said).not.toMatch(inchUnit)
    expect(saidInInches).not.toMatch(metricUnit)
    // what has a unit in the one has one in the other
    expect(inchUnit.test(saidInInches)).toBe(metricUnit.test(said))
  }
})

it('what was recorded as a sentence stays as it was shown', () => {
  for (const each of all.filter(isRecorded)) expect(each.say(inch)).toEqual(each.say(metric))
})

it('what begins with a size says how much of the tolerance that is; an open door is to be shut first', () => {
  const [, , open] = reasons.growth
  expect(sayReason(open!, metric)).toEqual({
    text: 'Dock door open 12 min: X screw 1.4 K warmer against the part than at the datum: 120 mm comes out 1.9 µm longer',
    more: '8.6 % of the tolerance. Shut the Dock door. 3.0 µm an hour from now as things stand; nothing once screw and part are equally warm.',
  })
})

it('what is too small for the digits shown is not called nothing', () => {
  // a scale 0.9 K colder than the part: 1.1 µm, less than half of 0.0001 in
  const scale = reasons.growth.find(({ element }) => element === 'scale')!
  expect(sayReason(scale, inch).text).toMatch(/comes out under 0\.0001 in too short$/)
  for (const [system, words] of [
    ['metric', 'under 0.1 µm'],
    ['tenths', 'under 0.1 tenths'],
  ] as const)
    expect(size(1e-8, { ...metric, system })).toBe(words)
  for (const { say } of all) for (const to of readers) expect(say(to).text).not.toMatch(/\b0\.0+ (in|tenths|µm)\b/)
})

it('times are those of the reader: of the day, and of the shop', () => {
  const [waiting] = reasons.waiting
  expect(sayReason(waiting!, metric).text).toBe('Within limits since 21:16; fit at 21:26 if it stays so')
  expect(sayReason(waiting!, { ...metric, zone: 'America/Chicago' }).text).toMatch(/since 14:16; fit at 14:26/)
  const chicago = { timeZone: 'America/Chicago', clock: '12 h' } as const
  expect(sayReason(waiting!, { ...metric, zone: chicago }).text).toMatch(/since 2:16 pm; fit at 2:26 pm/)
  expect(sayReason(waiting!, { ...metric, now: now + 2 * 86_400_000 }).text).toMatch(/since Mon 21:16/)
})

it('the command prints every kind and every sentence', () => {
  const printed = execFileSync('npx', ['tsx', 'tests/sentences/sentences.ts'], { encoding: 'utf8' })
  for (const kind of [...kindsOf(reason), ...kindsOf(remedy), ...kindsOf(fault)])
    expect(printed).toContain(`\n  ${kind}\n`)
  for (const { say } of all)
    for (const reader of readers) for (const line of Object.values(say(reader))) expect(printed).toContain(line)
})

it('a remedy promises fit only where it was computed, and says else how far it gets', () => {
  for (const example of Object.values(remedies).flat()) {
    const { text } = sayRemedy(example, metric)
    const fitBy = 'leaves' in example ? example.leaves.fitBy : null
    expect(/fit by|until/.test(text) && example.kind !== 'sensor').toBe(fitBy !== null)
    if (fitBy === null && 'leaves' in example && example.kind !== 'surer') expect(text).toContain('leaves 5.8 µm')
  }
  expect(remedies.shut.map(of => sayRemedy(of, metric).text)).toEqual([
    'Shut the Dock door: leaves 3.0 µm, fit by 21:40',
    'Shutting the Dock door helps most but is not enough: leaves 5.8 µm at 22:50',
  ])
})
