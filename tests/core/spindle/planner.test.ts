import { describe, expect, it } from 'vitest'
import { bestOrder, freeTools } from '../../../core/spindle/best-order.js'
import { spindleOf, type ToolJob, toolJob } from '../../../core/spindle/index.js'
import { growthDuring, type Law } from '../../../core/spindle/law.js'
import { planOrder } from '../../../core/spindle/tool-plan.js'
import { allOrders, onePart, randomJob, twoParts } from './tool-jobs.js'

const cold = (law: Law) => law.shares.map(() => 0)

/** Growth within a tool's cut, second by second, by running the whole course anew; independent of the planner's formulas. */
const withinCut = (law: Law, job: ToolJob, order: readonly number[], dwells: readonly number[], place: number) => {
  const course = order.slice(0, place + 1).flatMap((tool, i) => [
    { speed: 0, duration: job.change },
    { speed: job.tools[tool]!.speed, duration: dwells[i]! + (i < place ? job.tools[tool]!.cutting : 0) },
  ])
  const begun = course.reduce((sum, { duration }) => sum + duration, 0)
  const { cutting } = job.tools[order[place]!]!
  const times = Array.from({ length: 501 }, (_, i) => begun + (cutting * i) / 500)
  return growthDuring(spindleOf(law), course, times)
}
const rangeOf = (growth: readonly number[]) => Math.max(...growth) - Math.min(...growth)

describe('a job planned in a given order', () => {
  it('dwells until what changes within each cut is allowed, and not longer', () => {
    let waiting = 0
    for (const law of [onePart, twoParts])
      for (let seed = 0; seed < 30; seed++) {
        const job = randomJob(seed, 5, 0)
        const order = [0, 1, 2, 3, 4]
        const { cuts } = planOrder(law, job, order, cold(law))
        const dwells = cuts.map(({ dwell }) => dwell)
        cuts.forEach((cut, place) => {
          const growth = withinCut(law, job, order, dwells, place)
          expect(rangeOf(growth)).toBeLessThanOrEqual(cut.allowed * 1.001)
          expect(growth[0]).toBeCloseTo(cut.starting, 10)
          expect((Math.max(...growth) + Math.min(...growth)) / 2).toBeCloseTo(cut.offset, 7)
          if (cut.dwell === 0) return
          waiting++
          for (const less of [0.98, 0.7, 0.3, 0]) {
            const sooner = dwells.map((dwell, i) => (i === place ? less * dwell : dwell))
            expect(rangeOf(withinCut(law, job, order, sooner, place))).toBeGreaterThan(cut.allowed)
          }
        })
      }
    expect(waiting).toBeGreaterThan(50)
  })

  it('says what to add without dwell, and when to probe: always before too much has changed', () => {
    for (let seed = 0; seed < 30; seed++) {
      const job = randomJob(seed, 1, 0)
      const [cut] = planOrder(twoParts, job, [0], cold(twoParts)).cuts
      const growth = withinCut(twoParts, job, [0], [0], 0)
      const { probing, offset, remaining, enough } = cut!.withoutDwell
      expect(enough).toBe(true)
      for (const x of growth) expect(Math.abs(x - offset)).toBeLessThanOrEqual(remaining * 1.001)
      const { cutting } = job.tools[0]!
      probing.forEach((from, i) => {
        const to = probing[i + 1] ?? cutting
        const between = growth.filter((_, k) => (cutting * k) / 500 >= from && (cutting * k) / 500 <= to)
        expect(rangeOf(between)).toBeLessThanOrEqual(cut!.allowed * 1.001)
        expect(from === Math.floor(from) && (from < 60 || from % 60 === 0 || to - from < 60)).toBe(true)
      })
    }
  })

  it('waits for a slow tool on a warm spindle by the time constant of cooling', () => {
    const tool = { name: 'slow', length: 0.1, speed: 50, cutting: 600, tolerance: 20e-6, share: 0.2 }
    const law: Law = { ...onePart, variation: 'by direction', logs: [Math.log(1500), Math.log(2)] }
    const { dwell } = planOrder(law, { tools: [tool], before: [], change: 0 }, [0], [56e-6]).cuts[0]!
    // what the cut would see at once is (56 − 9) µm · (1 − e^(−600/3000)), and it shrinks with 3000 s to 4 µm
    expect(dwell).toBeCloseTo(3000 * Math.log((47 / 4) * (1 - Math.exp(-0.2))), 3)
  })

  it('names tools beyond the speeds that were tested, and refuses orders that break what must come first', () => {
    const job = randomJob(1, 3, 0)
    job.tools[1]!.speed = 250
    expect(planOrder(onePart, job, [0, 1, 2], [0]).untested).toEqual(['T2'])
    job.before = [[0, 2]]
    expect(() => bestOrder(onePart, job, [2, 1, 0])).toThrow('T3 before T1')
    expect(() => bestOrder(onePart, { ...job, before: [[2, 0]] }, [0, 0, 1])).toThrow('every tool once')
    expect(toolJob.safeParse(job).success).toBe(true)
    expect(toolJob.safeParse({ ...job, before: [[1, 1]] }).success).toBe(false)
  })
})

describe('the best order', () => {
  it('needs as little dwell as the best of all orders tried one by one', () => {
    for (const law of [onePart, twoParts])
      for (let seed = 0; seed < 40; seed++) {
        const drawn = randomJob(seed, 6, seed % 4)
        // every other list is a close one, in which no order does without dwell
        const job = seed % 2 ? drawn : { ...drawn, tools: drawn.tools.map(tool => ({ ...tool, share: 0.08 })) }
        const found = bestOrder(law, job)
        const tried = allOrders(job).map(order => planOrder(law, job, order, cold(law)).dwell)
        expect(found.exact).toBe(true)
        expect(found.best.dwell).toBeCloseTo(Math.min(...tried), 4)
        expect(found.best.dwell).toBeLessThanOrEqual(found.given.dwell)
        const order = found.best.cuts.map(({ tool }) => tool)
        for (const [first, second] of job.before) expect(order.indexOf(first)).toBeLessThan(order.indexOf(second))
      }
  })

  it('keeps a tool that is in the spindle already from needing a change, wherever that makes it best', () => {
    let first = 0
    for (let seed = 0; seed < 30; seed++) {
      // long changes cool the spindle, so that it matters which tool is in
      const job = { ...randomJob(seed, 5, seed % 3), change: 600, loaded: 4 }
      const warm = [9e-6, 20e-6]
      const found = bestOrder(twoParts, job, undefined, warm)
      const tried = allOrders(job).map(order => planOrder(twoParts, job, order, warm))
      expect(found.best.dwell).toBeCloseTo(Math.min(...tried.map(({ dwell }) => dwell)), 4)
      const loaded = tried.find(({ cuts }) => cuts[0]!.tool === 4)
      if (!loaded) continue
      first++
      expect(loaded.cuts[0]!.arriving).toBeCloseTo(29e-6, 12)
    }
    expect(first).toBeGreaterThan(5)
  })

  it('counts as free what has another that may come before it and after it', () => {
    const job = randomJob(1, 14, 0)
    expect(freeTools(job)).toBe(14)
    const inTurn = job.tools.slice(1).map((_, i): [number, number] => [i, i + 1])
    expect(freeTools({ ...job, before: inTurn })).toBe(0)
    // the first five in turn before all others, said of neighbours only
    const before = [...inTurn.slice(0, 4), ...job.tools.slice(5).map((_, i): [number, number] => [4, i + 5])]
    expect(freeTools({ ...job, before })).toBe(9)
  })

  it('goes through 24 tools of which what must come first leaves ten free', () => {
    const job = randomJob(7, 24, 0)
    job.before = job.tools.slice(1).map((_, i) => [Math.min(i, 13), i + 1])
    expect(freeTools(job)).toBe(10)
    const found = bestOrder(twoParts, job)
    expect(found.exact).toBe(true)
    expect(found.atLeast).toBe(found.best.dwell)
  })

  it('says of many tools below what no order can lie', () => {
    const found = bestOrder(twoParts, randomJob(4, 16, 3))
    expect(found.best.dwell).toBeLessThanOrEqual(found.given.dwell)
    expect(found.atLeast).toBeLessThanOrEqual(found.best.dwell)
    expect(found.atLeast).toBeGreaterThanOrEqual(0)
  })
})

/**
 * Slow tools first, then fast ones (common practice, no source). It holds for tools that differ in nothing but speed. In
 * general it is no law: where a fast tool whose tolerance is wide runs for a short time, it warms the spindle just to where a
 * slow, close one is at home, which else had to wait for its own little heat. Such lists are counted.
 */
describe('slower first against fastest first (common practice, no source)', () => {
  const ordered = ({ tools }: ToolJob) => tools.map((_, i) => i).sort((a, b) => tools[a]!.speed - tools[b]!.speed)

  it('never needs more over 1,000 random lists of six tools alike but for speed, and less on average over any', () => {
    for (const [name, law] of [
      ['one part', onePart],
      ['two parts', twoParts],
    ] as const) {
      let [worse, worseAlike, slower, faster] = [0, 0, 0, 0]
      for (let seed = 0; seed < 1000; seed++) {
        const job = randomJob(seed, 6, 0)
        const alike = { ...job, tools: job.tools.map(tool => ({ ...tool, cutting: 600, tolerance: 30e-6 })) }
        const [up, down] = [ordered(alike), ordered(alike).reverse()].map(order =>
          planOrder(law, alike, order, cold(law)),
        )
        if (up!.dwell > down!.dwell + 1e-6) worseAlike++
        const slow = planOrder(law, job, ordered(job), cold(law)).dwell
        const fast = planOrder(law, job, ordered(job).reverse(), cold(law)).dwell
        if (slow > fast + 1e-6) worse++
        slower += slow / 60_000
        faster += fast / 60_000
      }
      console.log(
        `${name}: slower first needs ${slower.toFixed(1)} min a list, fastest first ${faster.toFixed(1)} min; slower first needs more in ${worse} of 1000, of tools alike but for speed in ${worseAlike}`,
      )
      expect(slower).toBeLessThan(faster)
      expect(worseAlike).toBe(0)
    }
  })

  it('is no law: a short fast cut can warm the spindle to where a slow tool is at home', () => {
    const job: ToolJob = {
      tools: [
        { name: 'fast, rough', length: 0.1, speed: 200, cutting: 240, tolerance: 200e-6, share: 0.5 },
        { name: 'slow, close', length: 0.1, speed: 60, cutting: 900, tolerance: 10e-6, share: 0.1 },
      ],
      before: [],
      change: 20,
    }
    const slowerFirst = planOrder(onePart, job, [1, 0], [0]).dwell
    const fastestFirst = planOrder(onePart, job, [0, 1], [0]).dwell
    expect(slowerFirst).toBeGreaterThan(fastestFirst)
    expect(bestOrder(onePart, job, [1, 0]).best.cuts[0]!.tool).toBe(0)
  })
})
