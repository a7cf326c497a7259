import { describe, expect, it } from 'vitest'
import {
  cycles,
  drives,
  learning,
  MachineEffects,
  meanResponse,
  ShopEffects,
  shares,
} from '../../../core/shop-model/index.js'
import { lagged } from '../../../core/shop-model/lag.js'
import { drawing } from '../../../core/statistics/drawing.js'
import { standardDeviation } from '../../../core/statistics/spread.js'
import { type Hall, inventedHall } from './invented-hall.js'

/** index of the first interval that is asked about */
const begin = 7 * 288

const learnedOf = (seed: number, hall: Hall = {}) => {
  const { courses, machine } = inventedHall(seed, hall)
  const steps = learning(courses, 'invented', courses.from, 'all')
  let step = steps.next()
  while (!step.done) step = steps.next()
  const model = step.value
  const effects = new ShopEffects(model, courses, begin)
  const onMachine = new MachineEffects(machine, effects, courses.spacing, begin)
  return { courses, machine, model, effects, onMachine }
}

const told = (seed: number, hall: Hall = {}) => {
  const { courses, machine, model, effects, onMachine } = learnedOf(seed, hall)
  return shares(model, effects, machine, onMachine, begin, courses.sources)
}

const rms = (values: ArrayLike<number>) => {
  let sum = 0
  for (let i = 0; i < values.length; i++) sum += values[i]! ** 2
  return Math.sqrt(sum / values.length)
}

it('a lag is the exact first-order response to what is constant within each interval', () => {
  const course = lagged([0, 1, 1, 1], 600, 300, 0)
  const at = (t: number) => 1 - Math.exp(-t / 600)
  // mean of the response over the second interval after the step, integrated by hand
  const integral = (from: number, to: number) => to - from + 600 * (Math.exp(-to / 600) - Math.exp(-from / 600))
  expect(course[0]).toBe(0)
  expect(course[1]).toBeCloseTo(integral(0, 300) / 300, 12)
  expect(course[2]).toBeCloseTo(integral(300, 600) / 300, 12)
  expect(course[3]).toBeLessThan(at(900))
  expect([...lagged([Number.NaN, 2, Number.NaN], 0, 300)]).toEqual([2, 2, 2])
})

describe('what a door did', () => {
  it.each([1, 2, 3])('is within a quarter of the same hall with the door shut (hall %i)', seed => {
    const { onMachine } = learnedOf(seed)
    const was = inventedHall(seed).truth.body
    const shut = inventedHall(seed, { shutFrom: begin }).truth.body
    const did = was.subarray(begin).map((value, i) => value - shut[begin + i]!)
    const said = onMachine.of(['dock'], null)[1]!.subarray(begin)
    expect(rms(did)).toBeGreaterThan(0.1)
    expect(rms(did.map((value, i) => value - said[i]!))).toBeLessThan(0.25 * rms(did))
  })
  it('is nothing where opening it lets nothing through, and its share is as small as its interval says', () => {
    const { causes } = told(4, { door: 0 })
    const door = causes.find(({ id }) => id === 'dock')!
    expect(Math.abs(door.growth.share.likely)).toBeLessThan(0.05)
    expect(door.growth.share.low).toBeLessThan(0.02)
  })
  it('leads the list where it causes most, with nearly the share that the hall with the door shut shows', () => {
    const hall = { door: 6000, oven: 300 }
    const { causes, inseparable, main } = told(5, hall)
    const was = inventedHall(5, hall).truth.body.subarray(begin)
    const shut = inventedHall(5, { ...hall, shutFrom: begin }).truth.body.subarray(begin)
    const share = 1 - standardDeviation(shut) ** 2 / standardDeviation(was) ** 2
    expect(share).toBeGreaterThan(0.5)
    expect(causes[0]!.id).toBe('dock')
    expect(main[0]).toBe('dock')
    expect(Math.abs(causes[0]!.growth.share.likely - share)).toBeLessThan(0.1)
    expect(inseparable).toEqual([])
  })
})

it.each([15, 16, 17])(
  'what the outdoors did counts what a door lets in of them while it stands open (hall %i)',
  seed => {
    const hall = { door: 3000, standsOpen: { from: begin + 144, to: begin + 720 } }
    const { courses, onMachine } = learnedOf(seed, hall)
    const out = courses.outdoors!.subarray(begin)
    const at = out.reduce((sum, value) => sum + value, 0) / out.length
    const was = inventedHall(seed, hall).truth.body
    const then = inventedHall(seed, { ...hall, outdoorsThen: { from: begin, at } }).truth.body
    const did = was.subarray(begin).map((value, i) => value - then[begin + i]!)
    const said = onMachine.of(['outdoors'], null)[1]!.subarray(begin)
    expect(rms(did)).toBeGreaterThan(0.5)
    expect(rms(did.map((value, i) => value - said[i]!))).toBeLessThan(0.25 * rms(did))
  },
)

it('two doors that are always opened together cannot be told apart, and are told together', () => {
  const { causes, inseparable } = told(6, { yard: 1500 })
  expect(inseparable.map(group => [...group.causes].sort())).toEqual([['dock', 'yard']])
  const together = inseparable[0]!.growth.share.likely
  expect(together).toBeGreaterThan(
    Math.max(...causes.filter(({ group }) => group === 0).map(c => c.growth.share.likely)),
  )
  expect(causes.find(({ id }) => id === 'oven')!.group).toBeNull()
})

it('an oven that runs at the same hours every day is told from the week: what runs at hours of its own is not', () => {
  const hall = { daily: true, oven: 6000 }
  const { causes } = told(9, hall)
  const did = inventedHall(9, hall).truth.body.subarray(begin)
  const oven = causes.find(({ id }) => id === 'oven')!.growth.share
  const without = inventedHall(9, { ...hall, oven: 0 }).truth.body.subarray(begin)
  const share = 1 - standardDeviation(without) ** 2 / standardDeviation(did) ** 2
  expect(oven.low).toBeLessThan(share)
  expect(oven.high).toBeGreaterThan(share)
})

describe('a thermostat that answers the door', () => {
  const hall = { thermostat: true, door: 4000 }
  it.each([11, 12, 13])(
    'is let answer: what the shut door would have changed is told as the same hall shows it (hall %i)',
    seed => {
      const { onMachine } = learnedOf(seed, hall)
      const was = inventedHall(seed, hall).truth.body
      const shut = inventedHall(seed, { ...hall, shutFrom: begin }).truth.body
      const did = was.subarray(begin).map((value, i) => value - shut[begin + i]!)
      const said = onMachine.of(['dock'], null)[1]!.subarray(begin)
      expect(rms(did)).toBeGreaterThan(0.3)
      expect(rms(did.map((value, i) => value - said[i]!))).toBeLessThan(0.25 * rms(did))
    },
  )
  it('and that is set back at night makes the week the main cause', () => {
    const { causes, main } = told(14, hall)
    expect(causes[0]!.id).toBe('week')
    expect(main[0]).toBe('week')
  })
})

describe('mean response to the openings of a door', () => {
  const responseOf = (seed: number, hall: Hall) => {
    const { courses, machine } = inventedHall(seed, hall)
    const drive = drives(courses).find(({ source }) => source.id === 'dock')!
    const air = [{ of: 'air' as const, values: machine.nodes[0]!.temperature }]
    return meanResponse(courses, drive, air, 0, drawing(1))!
  }
  it('leaves the band of no effect soon after, downwards in winter', () => {
    const { count, responses } = responseOf(7, {})
    expect(count).toBeGreaterThan(10)
    expect(responses[0]!.effect).toBe(true)
    expect(responses[0]!.size).toBeLessThan(-0.3)
    expect(responses[0]!.delay).toBeLessThanOrEqual(900)
  })
  it('stays within it in nearly all halls where the door does nothing', () => {
    const seen = Array.from({ length: 10 }, (_, k) => responseOf(20 + k, { door: 0 }).responses[0]!)
    expect(seen.filter(({ effect }) => effect).length).toBeLessThanOrEqual(4)
    expect(Math.max(...seen.map(({ size }) => Math.abs(size)))).toBeLessThan(0.6)
  })
})

describe('cycling', () => {
  const withCycle = (amplitude: number) => {
    const { courses, machine } = inventedHall(8)
    const [air, body] = machine.nodes
    const cycling = air!.temperature.map((value, i) => value + amplitude * Math.sin((2 * Math.PI * i * 300) / 2700))
    return cycles({ ...machine, nodes: [{ ...air!, temperature: cycling }, body!] }, courses.spacing, begin)!
  }
  it('of 45 min is found with its size, and what of it reaches a body of one hour', () => {
    const [found] = withCycle(0.3)
    expect(found!.period).toBeGreaterThan(2600)
    expect(found!.period).toBeLessThan(2800)
    expect(found!.amplitude).toBeGreaterThan(0.25)
    expect(found!.amplitude).toBeLessThan(0.35)
    // 1 ÷ √(1 + (2π·3600/2700)²)
    expect(found!.reaches[0]!.part).toBeCloseTo(0.1186, 2)
  })
  it('is none where the air only wanders', () => {
    expect(withCycle(0)).toEqual([])
  })
})
