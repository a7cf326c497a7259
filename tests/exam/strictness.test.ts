import { expect, it } from 'vitest'
import type { AxisJob, ClassState, MachineState } from '../../core/state.js'
import { demoShop } from '../demo-shop.js'
import { OtherRules, strictnesses, strictnessNames } from './strictness.js'

const workClass = demoShop().workClasses[0]!
const granted = workClass.share * workClass.tolerance

/** A job whose error and expanded uncertainty are so many shares of what is granted, half of the latter by a doubt. */
const axis = (error: number, uncertainty: number): AxisJob => ({
  axis: 'X',
  sizeError: error * granted,
  drift: 0,
  error: error * granted,
  range: { low: error * granted, high: error * granted },
  uncertainty: uncertainty * granted,
  errorInHour: 0,
  rangeInHour: { low: 0, high: 0 },
  budget: [{ name: 'temperature of the part', standardUncertainty: (uncertainty * granted) / 2 }],
  parts: [],
})
const stateAt = (minute: number, axes: AxisJob[]): MachineState => {
  const of: ClassState = {
    workClass: workClass.id,
    verdict: 'settling',
    since: 0,
    thermalErrorIndex: 0,
    counted: 0,
    ready: null,
    reasons: [],
    remedy: null,
    fitByRecord: null,
    axes,
  }
  return { machine: 'mill-1', at: minute * 60_000, classes: [of], nodes: [], growth: [], datum: null }
}

/** by each strictness, when it was first fit, min; and how often it changed */
const follow = (errorAt: (minute: number) => number, uncertainty: number, minutes: number) => {
  const rules = new OtherRules([workClass])
  const since = new Map<string, number>()
  for (let minute = 0; minute < minutes; minute++) {
    rules.take(stateAt(minute, [axis(errorAt(minute), uncertainty)]), true)
    rules.says('mill-1', workClass.id).forEach((verdict, i) => {
      const name = strictnessNames[i]!
      if (verdict === 'fit' && !since.has(name)) since.set(name, minute)
    })
  }
  return { since: (name: string) => since.get(name) ?? Number.POSITIVE_INFINITY, rules }
}

it('the stricter a rule, the later a machine that cools down is fit by it', () => {
  const { since, rules } = follow(minute => 1 - minute / 600, 0.3, 600)
  const [none, lenient, half, , inUse, , strictest, most] = strictnessNames.slice(1).map(since)
  // with a standard uncertainty of 0.15 of the share, two of them left over, and five minutes' proof: from minute 180 on
  expect(none).toBe(185)
  for (const [earlier, later] of [
    [none, half],
    [half, inUse],
    [inUse, most],
    [lenient, inUse],
    [inUse, strictest],
  ])
    expect(earlier).toBeLessThanOrEqual(later!)
  expect(inUse).toBeGreaterThan(none!)
  expect(most).toBeGreaterThan(inUse!)
  // what the service shows is passed on as it is
  expect(since('as shown')).toBe(Number.POSITIVE_INFINITY)
  expect(rules.changes).toEqual(strictnessNames.map((_, i) => (i === 0 ? 0 : 1)))
})

it('what is not known is fit by no rule', () => {
  const { rules } = follow(() => 0, 0.1, 60)
  expect(rules.says('mill-1', workClass.id).slice(1)).toEqual(strictnesses.map(() => 'fit'))
  rules.take(stateAt(60, []), true)
  expect(rules.says('mill-1', workClass.id).slice(1)).toEqual(strictnesses.map(() => 'unknown'))
})
