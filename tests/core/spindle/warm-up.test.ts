import { describe, expect, it } from 'vitest'
import { axisWarmUps, type PlannedTool, spindleOf } from '../../../core/spindle/index.js'
import { growthDuring, type Law } from '../../../core/spindle/law.js'
import { planOrder } from '../../../core/spindle/tool-plan.js'
import { type WarmUpLimits, warmUp, warmUpLimits } from '../../../core/spindle/warm-up.js'
import { body, machineWith, screwAxis, steel } from '../machines.js'
import { onePart, twoParts } from './tool-jobs.js'

const cold = (law: Law) => law.shares.map(() => 0)
const tool: PlannedTool = { name: 'T7', length: 0.12, speed: 150, cutting: 720, tolerance: 20e-6, share: 0.2 }
const limits: WarmUpLimits = { highest: 200, step: 50, hold: 300 }

/** Every schedule of so many runs whose durations are whole holds, in which speed rises by no more than a step. */
const schedules = ({ highest, step, hold }: WarmUpLimits, runs: number, longest: number) => {
  const speeds = Array.from({ length: Math.round(highest / step) }, (_, i) => (i + 1) * step)
  const grow = (all: { speed: number; duration: number }[]): { speed: number; duration: number }[][] =>
    all.length === runs
      ? [all]
      : [
          all,
          ...speeds
            .filter(speed => speed <= (all.at(-1)?.speed ?? 0) + step && speed !== all.at(-1)?.speed)
            .flatMap(speed =>
              Array.from({ length: longest }, (_, i) => grow([...all, { speed, duration: (i + 1) * hold }])).flat(),
            ),
        ]
  return grow([])
}

describe('a warm-up', () => {
  it('ends where the first tool may cut, within its limits, and its growth is that of the law', () => {
    for (const law of [onePart, twoParts])
      for (const step of [30, 50, 200]) {
        const found = warmUp(law, tool, { ...limits, step }, cold(law))
        let before = 0
        for (const { speed, duration } of found.steps) {
          expect(speed).toBeLessThanOrEqual(Math.min(limits.highest, before + step) + 1e-9)
          if (speed < tool.speed) expect(duration).toBeGreaterThanOrEqual(limits.hold)
          before = speed
        }
        // the last step may be a faster one: the cut follows it at once
        const times = Array.from({ length: 201 }, (_, i) => found.duration + (tool.cutting * i) / 200)
        const cut = growthDuring(spindleOf(law), [...found.steps, { speed: tool.speed, duration: tool.cutting }], times)
        expect(Math.max(...cut) - Math.min(...cut)).toBeLessThanOrEqual(found.allowed * 1.001)
        expect(found.remaining).toBeCloseTo(Math.max(...cut) - Math.min(...cut), 9)
        expect(found.steps.at(-1)!.growth).toBeCloseTo(cut[0]!, 9)
        // the tool that is in the spindle need not wait any more
        const job = { tools: [tool], before: [], change: 24, loaded: 0 }
        expect(planOrder(law, job, [0], found.state).cuts[0]!.dwell).toBeLessThan(0.01)
      }
  })

  it('is not beaten by any schedule tried one by one', () => {
    for (const law of [onePart, twoParts])
      for (const speed of [100, 150]) {
        const first = { ...tool, speed }
        const found = warmUp(law, first, limits, cold(law))
        const spindle = spindleOf(law)
        const best = schedules(limits, 4, 4)
          .filter(runs => (runs.at(-1)?.speed ?? 0) + limits.step >= speed)
          .map(runs => {
            const length = runs.reduce((sum, { duration }) => sum + duration, 0)
            const [after] = growthDuringParts(spindle, runs)
            const job = { tools: [first], before: [], change: 0 }
            return length + planOrder(law, job, [0], after!).cuts[0]!.dwell
          })
          .reduce((least, each) => Math.min(least, each), Number.POSITIVE_INFINITY)
        expect(found.duration).toBeLessThanOrEqual(best + 1)
        // and is no shorter than a spindle without limits could do at its highest speed
        expect(found.duration).toBeGreaterThan(0.5 * Math.min(best, found.straight))
      }
  })

  it('gains from a faster speed than the tool’s where one is allowed, and stays within what was tested', () => {
    const free = { highest: 1000, step: 1000, hold: 0 }
    for (const law of [onePart, twoParts]) {
      const found = warmUp(law, tool, free, cold(law))
      expect(found.duration).toBeLessThan(found.straight)
      expect(found.capped).toBe(true)
      for (const { speed } of found.steps) expect(speed).toBeLessThanOrEqual(200)
      expect(warmUp(law, tool, { ...free, highest: 150 }, cold(law)).duration).toBeCloseTo(found.straight, 6)
    }
  })

  it('refuses a tool above the highest speed, and steps without end', () => {
    expect(() => warmUp(onePart, tool, { ...limits, highest: 100 }, [0])).toThrow('9000 1/min, above the 6000 1/min')
    expect(warmUpLimits.safeParse({ highest: 200, step: 1, hold: 60 }).success).toBe(false)
  })
})

/** Growth of each part after runs, from many short ones: not the closed form that the planner uses. */
const growthDuringParts = (
  spindle: ReturnType<typeof spindleOf>,
  runs: readonly { speed: number; duration: number }[],
) => {
  const state = new Array<number>(spindle.parts).fill(0)
  for (const { speed, duration } of runs) {
    const pieces = Math.ceil(duration / 2)
    for (let i = 0; i < pieces; i++)
      for (let part = 0; part < state.length; part++) {
        const target = spindle.target(part, speed)
        const heating = target * (target - state[part]!) > 0
        state[part]! += ((target - state[part]!) * (duration / pieces)) / spindle.timeConstant(part, speed, heating)
      }
  }
  return [state]
}

describe('warm-up of axes', () => {
  it('takes the screw’s time constant as identified, else as assumed, and asks nothing of a scale or a coolant', () => {
    const scale = {
      ...screwAxis('Z', 'scale'),
      measuring: { kind: 'scale' as const, material: steel, nodes: { scale: 1 }, fixedAt: 0 },
    }
    const described = machineWith({
      nodes: ['x-screw', 'y-screw', 'scale'],
      axes: [
        screwAxis('X', 'x-screw'),
        screwAxis('Y', 'y-screw'),
        scale,
        screwAxis('B', 'core'),
        screwAxis('C', 'bare'),
      ],
    })
    const { timeConstant: _, ...bare } = body('bare')
    described.nodes.push({ ...body('core'), kind: 'coolant' }, bare)
    const found = axisWarmUps(described, { 'x-screw': 1800 })
    expect(found).toMatchObject([
      { axis: 'X', follows: 'screw', timeConstant: 1800, from: 'identified' },
      { axis: 'Y', follows: 'screw', timeConstant: 3600, from: 'assumed' },
      { axis: 'Z', follows: 'scale', duration: null },
      { axis: 'B', follows: 'coolant', duration: null },
      { axis: 'C', follows: 'screw', timeConstant: null, from: null, duration: null },
    ])
    // nine tenths: e^(−t/τ) = 0.1
    expect(Math.exp(-found[0]!.duration! / 1800)).toBeCloseTo(0.1, 12)
  })
})
