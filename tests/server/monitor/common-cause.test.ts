import { expect, it } from 'vitest'
import type { ClassState, MachineState, Reason, VerdictChange } from '../../../core/state.js'
import { commonCauseOf } from '../../../server/monitor/common-cause.js'
import { UsualMornings } from '../../../server/monitor/usual-mornings.js'
import { demoShopFor } from '../../demo-shop.js'
import { followed } from '../../followed.js'

const minute = 60_000
const hour = 60 * minute
const workClass = 'close-bores'
const shop = demoShopFor(workClass)
const cold: Reason = {
  kind: 'drift',
  axis: 'X',
  amount: -5e-6,
  tolerance: 22e-6,
  node: 'x',
  name: 'X screw',
  change: -1,
  duration: 2700,
  sinceDatum: false,
  now: false,
  onDiameter: false,
}

const machineAt = (i: number, over: Partial<ClassState>, air: number, rate: number): MachineState => ({
  machine: shop.machines[i]!.id,
  at: 0,
  classes: [
    {
      workClass,
      verdict: 'unfit',
      since: 0,
      thermalErrorIndex: 50,
      counted: 50,
      ready: null,
      reasons: [cold],
      remedy: null,
      fitByRecord: null,
      axes: [],
      ...over,
    },
  ],
  nodes: [
    {
      node: 'air',
      temperature: air,
      rate,
      steadyExcess: null,
      timeConstant: null,
      timeConstantUncertainty: null,
      at: 0,
      trust: 'ok',
      standIn: false,
    },
  ],
  growth: [],
  datum: null,
})

it('what most machines have in common is said once, with what their air does', () => {
  const states = shop.machines.map((_, i) =>
    machineAt(i, i < 2 ? { verdict: 'fit', reasons: [] } : {}, 18 + i / 10, -0.5),
  )
  expect(commonCauseOf(shop, workClass, states)).toMatchObject({ kind: 'air falling', of: 8, air: 18.5 })
  expect(commonCauseOf(shop, workClass, states)!.machines).toEqual(shop.machines.slice(2).map(({ id }) => id))
  const still = states.map((state, i) => machineAt(i, state.classes[0]!, 18, 0))
  expect(commonCauseOf(shop, workClass, still)?.kind).toBe('air cold')
})

it('but not where few are not fit, each for itself, by a door, or where the air is neither off nor moving', () => {
  const of = (over: (i: number) => Partial<ClassState>, air = 18, rate = -0.5) =>
    commonCauseOf(
      shop,
      workClass,
      shop.machines.map((_, i) => machineAt(i, over(i), air, rate)),
    )
  expect(of(i => (i < 5 ? { verdict: 'fit', reasons: [] } : {}))).toBeNull()
  const disturbance = { source: 'dock-door', name: 'Dock door', from: 0, to: null }
  expect(of(i => (i % 2 ? { reasons: [{ ...cold, disturbance }] } : {}))).toBeNull()
  expect(of(i => (i % 2 ? { reasons: [{ kind: 'waiting', since: 0, until: 1 }] } : {}))).toBeNull()
  expect(of(() => ({}), 20.3, 0.05)).toBeNull()
})

it('a usual morning is that of days of the same kind, half of the machines being fit: median and range', () => {
  const mornings = new UsualMornings('Europe/Vienna')
  const became = (
    day: number,
    machine: string,
    at: [h: number, min: number],
    verdict: VerdictChange['verdict'] = 'fit',
  ) =>
    mornings.take({
      machine,
      workClass,
      at: Date.UTC(2026, 0, day, at[0] - 1, at[1]),
      verdict,
      thermalErrorIndex: null,
      reason: null,
    })
  // Monday 12 to Thursday 15 January: half were fit at 7:00, 7:30, 7:10, 8:00; the second time in a morning is none
  for (const [day, min] of [
    [12, 0],
    [13, 30],
    [14, 10],
    [15, 60],
  ] as const) {
    became(day, 'a', [6, min])
    became(day, 'b', [7, min])
    became(day, 'c', [9, min])
    became(day, 'a', [11, 0])
    became(day, 'b', [22, 0])
    became(day, 'b', [4, 0], 'unfit')
  }
  for (const day of [10, 11]) became(day, 'a', [5, 0])
  const thursdayEvening = Date.UTC(2026, 0, 15, 20, 17)
  const on16 = (h: number, min: number) => Date.UTC(2026, 0, 16, h - 1, min)
  expect(mornings.coming(workClass, thursdayEvening)).toEqual({
    likely: on16(7, 20),
    earliest: on16(7, 0),
    latest: on16(8, 0),
    days: 4,
  })
  // two Sundays and Saturdays are no custom
  expect(mornings.coming(workClass, Date.UTC(2026, 0, 16, 20))).toBeNull()
  expect(mornings.coming('another', thursdayEvening)).toBeNull()
})

it('in the demo shop it is said in the night, and the morning after comes when it says', () => {
  const from = Date.UTC(2026, 0, 12, 0)
  const step = 6 * minute
  const { monitor, until } = followed(shop, { seed: 5, start: from }, 120, step)
  const first = new Map<string, number>()
  let said = 0
  let nights = 0
  monitor.onChange(({ verdicts }) => {
    for (const v of verdicts)
      if (v.workClass === workClass && v.verdict === 'fit' && v.at > from + 98 * hour && !first.has(v.machine))
        first.set(v.machine, v.at)
  })
  const common = () => monitor.shop().common.find(c => c.workClass === workClass)
  let told = common()!
  for (let now = from + step; now <= from + 98 * hour; now += step) {
    until(now)
    // 22:00 to 3:00 in the shop
    const utc = new Date(now).getUTCHours()
    if (now > from + 12 * hour && (utc >= 21 || utc < 2)) {
      nights++
      if (common()) said++
      told = common() ?? told
    }
  }
  expect(told.usual?.days).toBeGreaterThanOrEqual(3)
  until(from + 108 * hour)
  const times = [...first.values()].sort((a, b) => a - b)
  const half = (times[(times.length - 1) >> 1]! + times[times.length >> 1]!) / 2
  console.log(
    `common cause in ${((100 * said) / nights).toFixed(0)} % of the nights' samples: ${told.kind}, ${told.machines.length} of ${told.of}; usual ${[told.usual!.earliest, told.usual!.likely, told.usual!.latest].map(t => new Date(t).toISOString().slice(11, 16)).join(' ')}, came ${new Date(half).toISOString().slice(11, 16)} UTC`,
  )
  expect(said / nights).toBeGreaterThan(0.5)
  expect(half).toBeGreaterThan(told.usual!.earliest - hour)
  expect(half).toBeLessThan(told.usual!.latest + hour)
})
