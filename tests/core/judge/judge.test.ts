import { describe, expect, it } from 'vitest'
import { thermalLoop } from '../../../core/growth/index.js'
import {
  assess,
  asUsuallyKnown,
  combinedError,
  coverageOf,
  disturbedBy,
  errorReasons,
  expandedUncertainty,
  nextVerdict,
  nominalErrors,
  type Outlook,
  outlookAhead,
  readyTime,
  type ShownVerdict,
  standardTolerance,
  zeroOf,
} from '../../../core/judge/index.js'
import { thermalErrorIndex } from '../../../core/judge/thermal-error-index.js'
import type { Judgement } from '../../../core/judge/verdict.js'
import type { Material } from '../../../core/shop.js'
import type { Reason } from '../../../core/state.js'
import { inWords, reader } from '../../in-words.js'
import { aluminium, machineWith, screwAxis, steel, workClass } from '../machines.js'

const machine = machineWith({ nodes: ['screw'], axes: [screwAxis('X', 'screw')] })
const loop = thermalLoop(machine, 20)

const outlook = (screw: number, steadyTemperature: number, air = 20): Outlook => {
  const common = {
    timeConstantUncertainty: 0.3,
    steadyUncertainty: 0.1,
    calibration: 0.05,
    placement: 0.2,
    ordinaryChange: 0.1,
  }
  return {
    loop,
    nodes: [
      { ...common, temperature: air, steadyTemperature: air, timeConstant: Number.POSITIVE_INFINITY, follows: -1 },
      { ...common, temperature: screw, steadyTemperature, timeConstant: 3600, follows: 0 },
    ],
    part: {
      temperature: air,
      steadyTemperature: air,
      timeConstant: 1800,
      uncertainty: 0.3,
      uncertaintySoaked: 0.3,
      slope: 0,
    },
    datum: null,
  }
}

interface SpindleCase {
  /** °C */
  screw?: number
  /** m */
  zeros?: readonly number[] | null
  sign?: 1 | -1
  axis?: string
}

describe('thermal error of a job', () => {
  it('is nothing for a machine at rest at 20 °C', () => {
    const [x] = nominalErrors(outlook(20, 20), workClass())
    expect(x).toMatchObject({ sizeError: 0, drift: 0 })
  })
  it('adds size error and drift of a screw that cools', () => {
    const [x] = nominalErrors(outlook(23, 20), workClass())
    expect(x!.sizeError).toBeCloseTo(0.12 * 11.5e-6 * 3, 12)
    const cooled = 3 * (1 - Math.exp(-2700 / 3600))
    expect(x!.drift).toBeCloseTo(-0.25 * 11.5e-6 * cooled, 12)
  })
  it('sees less ahead as the screw settles', () => {
    const at = (ahead: number) => Math.abs(nominalErrors(outlook(23, 20), workClass(), ahead)[0]!.drift)
    expect(at(7200)).toBeLessThan(at(0) / 5)
  })
  it('counts size and position from a datum at which a first part was measured', () => {
    const from = { ...outlook(23, 23), datum: { nodes: Float64Array.from([20, 22]), part: 20, firstPart: true } }
    const [x] = nominalErrors(from, workClass({ zeroedAt: 'datum' }))
    expect(x!.sizeError).toBeCloseTo(0.12 * 11.5e-6, 12)
    expect(x!.drift).toBeCloseTo(0.25 * 11.5e-6, 12)
    expect(x!.driftNow).toBeCloseTo(0.25 * 11.5e-6, 12)
  })
  it('leaves nothing to that datum at its own moment, whatever the temperatures', () => {
    const at = outlook(24, 24)
    const datum = { nodes: Float64Array.from(at.nodes, n => n.temperature), part: at.part.temperature, firstPart: true }
    const [x] = nominalErrors({ ...at, datum }, workClass({ zeroedAt: 'datum' }))
    expect(x).toMatchObject({ sizeError: 0, driftNow: 0, drift: 0 })
  })
  it('does not let a zero taken at one place remove what a warm scale does over a length', () => {
    const at = outlook(23, 23)
    const datum = {
      nodes: Float64Array.from(at.nodes, n => n.temperature),
      part: at.part.temperature,
      firstPart: false,
    }
    const [x] = nominalErrors({ ...at, datum }, workClass({ zeroedAt: 'datum' }))
    expect(x!.sizeError).toBeCloseTo(0.12 * 11.5e-6 * 3, 12)
    expect(x!.driftNow).toBe(0)
    // and the sensors' calibration, which such a zero does not take away either, is in the budget
    const { budget } = assess({ ...at, datum }, workClass({ zeroedAt: 'datum' })).axes[0]!
    expect(budget.find(c => c.name === 'sensor calibration')!.standardUncertainty).toBeCloseTo(
      0.12 * 11.5e-6 * 0.05,
      12,
    )
  })
  it.each([
    ['an axis that works on a radius', { axis: { readsDiameter: true }, work: {} }],
    ['a class whose size is a diameter', { axis: {}, work: { readsDiameter: true } }],
  ])('counts the drift of %s twice, and the growth of screw and part over the diameter once', (_, { axis, work }) => {
    const lathe = machineWith({ nodes: ['screw'], axes: [{ ...screwAxis('X', 'screw'), ...axis }] })
    const of = { ...outlook(23, 20), loop: thermalLoop(lathe, 20) }
    const [x] = nominalErrors(of, workClass(work))
    const [plain] = nominalErrors(outlook(23, 20), workClass())
    expect(x!.drift).toBeCloseTo(2 * plain!.drift, 15)
    // a diameter of 120 mm is cut 60 mm from the middle: twice the growth over 60 mm is that over 120 mm
    expect(x!.sizeError).toBeCloseTo(2 * 0.06 * 11.5e-6 * 3, 12)
    const of120 = (budget: { name: string; standardUncertainty: number }[], name: string) =>
      budget.find(c => c.name === name)!.standardUncertainty
    const twice = assess(of, workClass(work)).axes[0]!.budget
    const once = assess(outlook(23, 20), workClass()).axes[0]!.budget
    for (const name of ['time constants', 'where the nodes are heading'])
      expect(of120(twice, name)).toBeCloseTo(2 * of120(once, name), 15)
    for (const name of ['temperature of the part', 'sensor placement'])
      expect(of120(twice, name)).toBeCloseTo(of120(once, name), 15)
  })
  describe('with a spindle that grows', () => {
    const { duration } = workClass()
    /** as growth goes within the job, m; all else stands still, but for the screw where it cools */
    const withSpindle = (
      courses: readonly ((after: number, ahead: number) => number)[],
      { screw = 20, zeros = null, sign = 1, axis = 'X' }: SpindleCase = {},
    ): Outlook => ({
      ...outlook(screw, 20),
      spindle: {
        ...{ axis, sign, speed: 100, isLive: true, isBeyond: false, testedAt: null, zeros, held: null },
        courses: courses.map(course => (ahead: number, after: number) => course(after, ahead)),
        uncertainty: () => 0,
      },
    })
    const rising = (after: number) => 10e-6 * (1 - Math.exp(-after / 1200))
    const risen = rising(duration)
    const cooled = -0.25 * 11.5e-6 * (1 - Math.exp(-duration / 3600))
    const of = (...[courses, more]: Parameters<typeof withSpindle>) =>
      nominalErrors(withSpindle(courses, more), workClass())[0]!

    it('drifts by what it grows from the start, on the axis that it moves, to the side that it moves it', () => {
      expect(of([rising], { sign: -1 })).toMatchObject({
        driftNow: 0,
        driftAt: duration,
        spindle: -risen,
        drift: -risen,
      })
      expect(of([rising], { axis: 'Z' })).toMatchObject({ drift: 0, spindle: 0 })
    })
    it('adds to what the screw does, with its sign, at the same moment', () => {
      const found = of([rising], { screw: 21 })
      expect(found.spindle).toBeCloseTo(risen, 15)
      expect(found.drift).toBeCloseTo(cooled + risen, 15)
    })
    it('counts from the growth at the zero where there was one, each that may have been, and already at the start', () => {
      const one = of([rising], { zeros: [4e-6] })
      expect(one.driftNow).toBeCloseTo(-4e-6, 15)
      expect(one.drift).toBeCloseTo(risen - 4e-6, 15)
      expect(of([rising], { zeros: [0, 10e-6] }).drift).toBeCloseTo(-10e-6, 15)
    })
    it('takes the course with the largest drift, whichever its sign, and its largest moment, be it not the last', () => {
      expect(of([after => -0.9 * rising(after), after => 0.4 * rising(after)]).drift).toBeCloseTo(-0.9 * risen, 15)
      const turning = (after: number) => -8e-6 * Math.exp(-(((after - duration / 2) / 300) ** 2))
      const start = turning(0)
      expect(of([turning])).toMatchObject({ driftAt: duration / 2, drift: -8e-6 - start })
    })
    it('is looked at from when the job begins', () => {
      const ahead = nominalErrors(withSpindle([(after, ahead) => rising(ahead + after)]), workClass(), 600)[0]!
      expect(ahead.drift).toBeCloseTo(rising(600 + duration) - rising(600), 15)
    })
    it('is told apart from the rest of the drift, the largest part first; the range goes to either side of the size', () => {
      const [axis] = assess(withSpindle([rising], { screw: 21 }), workClass()).axes
      expect(axis!.parts.map(({ name }) => name)).toEqual([
        'growth of the spindle',
        'drift within the job',
        'size error',
      ])
      expect(axis!.parts[1]!.amount).toBeCloseTo(cooled, 15)
      expect(axis!.range.low).toBeCloseTo(axis!.sizeError - (cooled + risen), 15)
      expect(axis!.range.high).toBeCloseTo(axis!.sizeError + (cooled + risen), 15)
      const other = assess(withSpindle([rising], { sign: -1, screw: 21 }), workClass()).axes[0]!
      expect(other.parts[0]).toMatchObject({ name: 'growth of the spindle' })
      expect(other.range.low).toBeCloseTo(other.sizeError + cooled - risen, 15)
      const without = assess(outlook(23, 20), workClass()).axes[0]!
      expect(without.parts.map(({ name }) => name)).not.toContain('growth of the spindle')
    })
    it('is measured on a feature with what the zero has moved by at the start', () => {
      const [axis] = assess(withSpindle([rising], { screw: 21, zeros: [4e-6] }), workClass()).axes
      expect(axis!.error).toBeCloseTo(0.12 * 11.5e-6 - 4e-6, 15)
    })
    it('counts twice where the size is a diameter', () => {
      const found = nominalErrors(withSpindle([rising]), workClass({ readsDiameter: true }))[0]!
      expect(found.drift).toBeCloseTo(2 * risen, 15)
    })
  })
  it('counts less of what is not known for a machine that is fit already, and least for a moment', () => {
    // by the default rule 95 %, one-sided: 1.645 standard uncertainties, and 0.355 more or fewer
    const { counted, kept, barely, axes } = assess({ ...outlook(23, 20), coverage: 2 }, workClass())
    const [{ range, sizeError, uncertainty }] = axes as [(typeof axes)[number]]
    const indexWith = (k: number) =>
      (100 * (Math.max(range.high, -range.low) + (k / 2) * uncertainty)) / workClass().tolerance
    expect(sizeError).toBeGreaterThan(0)
    expect(counted).toBeCloseTo(indexWith(2), 8)
    expect(kept).toBeCloseTo(indexWith(1.6449), 2)
    expect(barely).toBeCloseTo(indexWith(1.2897), 2)
  })
  it('has the zero of its datum, and of one from before it was asked, that of a first part', () => {
    const datum = { id: 1, machine: 'mill', at: 0, by: '', note: '', temperatures: { screw: 22 } }
    expect(zeroOf(machine, { ...datum, part: 21, firstPart: false })).toEqual({
      nodes: Float64Array.of(Number.NaN, 22),
      part: 21,
      firstPart: false,
    })
    expect(zeroOf(machine, datum)).toMatchObject({ part: Number.NaN, firstPart: true })
    expect(zeroOf(machine, { ...datum, temperatures: { air: 20.5, screw: 22 } }).part).toBe(20.5)
  })
  it('is known better later, by having watched on: as usual of the node, or to 0.15 K where that is not known', () => {
    const doubted = (usual?: number): Outlook => {
      const of = outlook(22, 20)
      const nodes = of.nodes.map(node => ({ ...node, steadyUncertainty: 0.8, usualSteadyUncertainty: usual }))
      return { ...of, nodes }
    }
    const at = (of: Outlook, ahead: number) => outlookAhead(of, ahead).nodes[1]!.steadyUncertainty
    // the doubt of now fades with 30 min
    expect(at(doubted(0.2), 1800)).toBeCloseTo(0.2 + 0.6 / Math.E, 12)
    expect(at(doubted(), 1800)).toBeCloseTo(Math.hypot(0.15, 0.8 / Math.E), 12)
    expect(at(doubted(), 0)).toBe(0.8)
    expect(outlookAhead(doubted(), 1800).nodes[1]!.steadyTemperature).toBe(20)
  })
  it('is uncertain by its contributions, combined as the GUM says (k = 2)', () => {
    const [axis] = assess(outlook(23, 20), workClass()).axes
    const names = axis!.budget.map(c => c.name)
    expect(names).toContain('temperature of the part')
    expect(names).toContain('sensor placement')
    const squares = axis!.budget.map(c => c.standardUncertainty ** 2).reduce((a, b) => a + b)
    expect(axis!.uncertainty).toBeCloseTo(2 * Math.sqrt(squares), 15)
    expect(expandedUncertainty([])).toBe(0)
    const part = axis!.budget.find(c => c.name === 'temperature of the part')!
    expect(part.standardUncertainty).toBeCloseTo(0.12 * 23.6e-6 * 0.3, 12)
  })
  it('counts an offset that screw and air sensors share once, where it cancels on parts of the same metal', () => {
    const batch = { name: 'one delivery', uncertainty: 0.2 }
    const shared = (material: Material) => {
      const of = outlook(23, 20)
      const nodes = of.nodes.map(node => ({ ...node, batch }))
      const { budget } = assess({ ...of, nodes }, workClass({ material })).axes[0]!
      return budget.find(c => c.name.startsWith('offset shared'))?.standardUncertainty ?? 0
    }
    expect(shared(steel)).toBeLessThan(1e-12)
    expect(shared(aluminium)).toBeCloseTo(0.12 * (23.6e-6 - 11.5e-6) * 0.2, 12)
  })
  it('names the larger share first, in words a machinist uses', () => {
    const found = assess(outlook(23, 20), workClass())
    const reasons = errorReasons(outlook(23, 20), loop.axes[0]!, workClass(), found.nominal[0]!, found.axes[0]!)
    const amounts = reasons.map(r => ('amount' in r ? Math.abs(r.amount) : 0))
    expect(amounts).toEqual([...amounts].sort((a, b) => b - a))
    const texts = reasons.map(r => inWords(r))
    expect(texts).toContain('X screw cools by 1.6 K in a 45 min job: X moves −4.6 µm')
    expect(texts).toContain('X screw 3.0 K warmer than the part: 120 mm comes out 4.1 µm too long')
    expect(reasons.find(r => r.kind === 'uncertainty')).toMatchObject({ cause: { kind: expect.any(String) } })
    expect(reasons.map(r => inWords(r, reader(0, 'inch')))).toContain(
      'X screw 5.4 °F warmer than the part: 4.72 in comes out 0.0002 in too long',
    )
  })
})

describe('a door', () => {
  const door = { source: 'dock', name: 'Dock door', from: 0, to: null }
  it('explains what moves and what it makes less sure, not how well a sensor or a bearing is known', () => {
    const unsure = { kind: 'uncertainty', axis: 'X', amount: 1e-6, tolerance: 2e-5 } as const
    const by = (of: Reason, air: number) =>
      disturbedBy(door, of, outlook(20, 20), loop.axes[0]!, workClass(), {
        before: { nodes: Float64Array.of(air, 20), part: 20 },
        after: { nodes: Float64Array.of(20, 20), part: 20 },
        over: false,
      })
    const changing = { ...unsure, cause: { kind: 'air changes', node: 'air', name: 'air', change: 1 } } as const
    expect(by(changing, 22)).toMatchObject({ disturbance: door })
    expect(by(changing, 20.1)).not.toHaveProperty('disturbance')
    expect(by({ ...unsure, cause: { kind: 'bearing' } }, 22)).not.toHaveProperty('disturbance')
    expect(by({ kind: 'zero', lacking: null }, 22)).not.toHaveProperty('disturbance')
  })

  it('explains no part that was cold before, and no screw, nor air that moved the other way', () => {
    const work = workClass()
    const now = { ...outlook(19, 17, 17) }
    const found = assess(now, work)
    const reasons = errorReasons(now, loop.axes[0]!, work, found.nominal[0]!, found.axes[0]!)
    const of = (kind: Reason['kind']) => reasons.find(r => r.kind === kind)!
    const named = (kind: Reason['kind'], air: number, screw: number, part: number) =>
      'disturbance' in
      disturbedBy(door, of(kind), now, loop.axes[0]!, work, {
        before: { nodes: Float64Array.of(air, screw), part },
        after: { nodes: Float64Array.of(17, 19), part: 17 },
        over: false,
      })
    // the part is at 17 °C
    expect(named('workpiece', 20, 20, 20)).toBe(true)
    expect(named('workpiece', 20, 20, 17.1)).toBe(false)
    // the screw cools towards the air
    expect(named('drift', 20, 19, 17)).toBe(true)
    expect(named('drift', 16, 19, 17)).toBe(false)
    // the screw is 2 K warmer than the part
    expect(named('growth', 20, 19, 19)).toBe(true)
    expect(named('growth', 20, 19, 17)).toBe(false)
    expect(named('drift', Number.NaN, Number.NaN, Number.NaN)).toBe(false)
  })
})

describe('thermal error index', () => {
  it('gives the arithmetic of ASME B89.6.2 (form from memory): 19.61 % and 7.51 %', () => {
    // L 100 mm, 25 °C, α 23.6 and 11.5 µm/m/K, each 10 % uncertain, 2 µm variation, tolerance 50 µm
    const nominal = 0.1 * 5 * (23.6e-6 - 11.5e-6)
    const uncertain = 0.1 * 5 * 0.1 * (23.6e-6 + 11.5e-6)
    expect(thermalErrorIndex(nominal, uncertain + 2e-6, 50e-6)).toBeCloseTo(19.61, 2)
    expect(thermalErrorIndex(0, uncertain + 2e-6, 50e-6)).toBeCloseTo(7.51, 2)
  })
})

describe('the decision rule', () => {
  it('says how many standard uncertainties a verdict and a ready time count beside the error; the index keeps two', () => {
    const strict = { ...outlook(23, 20), coverage: 2 }
    const ruled = { ...strict, coverage: coverageOf(0.95) }
    const [two, fewer] = [strict, ruled].map(of => assess(of, workClass()))
    expect(two!.counted).toBe(two!.index)
    // what is fit stays so with as many fewer as lie between k = 2 and one-sided 95 %
    expect(two!.kept).toBeCloseTo(fewer!.counted, 2)
    expect(fewer!.index).toBe(two!.index)
    const [error] = two!.nominal.map(combinedError)
    const { uncertainty } = two!.axes[0]!
    expect(fewer!.counted).toBeCloseTo((100 * (error! + (1.6449 / 2) * uncertainty)) / workClass().tolerance, 2)
    const [late, sooner] = [strict, ruled].map(of => readyTime(of, workClass(), 30).ready!)
    expect(sooner!.latest).toBeLessThan(late!.latest)
    expect(sooner!.likely).toBe(late!.likely)
    expect(assess(outlookAhead(ruled, sooner!.latest), workClass()).counted).toBeLessThanOrEqual(30)
  })
})

describe('a doubt of just now', () => {
  it('is left out where it is known how well it usually is known where a body is heading', () => {
    const { nodes, ...rest } = outlook(20, 20)
    const doubted = (usual?: number): Outlook => ({
      ...rest,
      nodes: nodes.map(node => ({ ...node, steadyUncertainty: 0.5, usualSteadyUncertainty: usual })),
    })
    const kept = (of: Outlook) => assess(of, workClass()).kept
    expect(kept(asUsuallyKnown(doubted(0.1)))).toBeCloseTo(kept(outlook(20, 20)), 9)
    expect(kept(asUsuallyKnown(doubted(0.1)))).toBeLessThan(kept(doubted(0.1)))
    expect(kept(asUsuallyKnown(doubted()))).toBe(kept(doubted()))
    // and what is surer than usual stays so
    expect(kept(asUsuallyKnown(doubted(0.9)))).toBe(kept(doubted()))
  })
})

describe('ready time', () => {
  it('is when error and uncertainty ahead have become small enough', () => {
    const of = outlook(23, 20)
    const { likely, earliest, latest } = readyTime(of, workClass(), 30).ready!
    const at = (ahead: number) => assess(outlookAhead(of, ahead), workClass()).index
    expect(at(latest)).toBeLessThanOrEqual(30)
    expect(at(latest - 60)).toBeGreaterThan(30)
    expect(earliest).toBeLessThan(likely)
    expect(likely).toBeLessThan(latest)
  })
  it('agrees with the closed form where nothing is uncertain', () => {
    const sure = outlook(23, 20)
    const nothing = {
      timeConstantUncertainty: 0,
      steadyUncertainty: 0,
      calibration: 0,
      placement: 0,
      ordinaryChange: 0,
    }
    const exactLoop = thermalLoop(
      machineWith({
        nodes: ['screw'],
        axes: [screwAxis('X', 'screw', { material: { ...steel, alphaUncertainty: 0 } })],
      }),
      20,
    )
    const certain: Outlook = {
      ...sure,
      loop: exactLoop,
      nodes: sure.nodes.map(node => ({ ...node, ...nothing })),
      part: { ...sure.part, uncertainty: 0, uncertaintySoaked: 0 },
    }
    // 3 K·e^(−t/τ)·11.5e-6·(0.12 + 0.25·(1 − e^(−0.75))) = 0.3·22 µm
    const perKelvin = 11.5e-6 * (0.12 + 0.25 * (1 - Math.exp(-0.75)))
    const exact = 3600 * Math.log((3 * perKelvin) / 6.6e-6)
    expect(Math.abs(readyTime(certain, workClass(), 30).ready!.likely - exact)).toBeLessThan(31)
  })
  it('is not named when the machine will not get there', () => {
    expect(readyTime(outlook(26, 26), workClass(), 30).ready).toBeNull()
  })
})

describe('standard tolerance', () => {
  it('belongs to the range whose upper limit the size does not exceed', () => {
    expect(standardTolerance(6, 0.05)).toBeCloseTo(16e-6, 12)
    expect(standardTolerance(6, 0.0501)).toBeCloseTo(19e-6, 12)
  })
  it('refuses what the table does not have', () => {
    expect(() => standardTolerance(6, 0.6)).toThrow('up to 500 mm')
    expect(() => standardTolerance(4, 0.05)).toThrow('IT5 to IT10')
  })
})

describe('verdict shown', () => {
  const judge = (index: number, willBeFit = true, known = true): Judgement => ({
    known,
    index,
    kept: index - 3,
    room: 0,
    isDoubtOnly: false,
    share: 30,
    willBeFit,
    lowest: index,
  })
  const minute = 60_000
  const begun = Date.UTC(2026, 0, 14)
  const settings = {
    fitDelay: 300,
    shortGap: 120,
    settlingDelay: 180,
    unfitDelay: 600,
    narrowDelay: 1800,
    clear: 0.3,
    doubtDelay: 300,
  }
  const run = (judgements: Judgement[]): ShownVerdict[] => {
    const shown: ShownVerdict[] = []
    for (const [i, judgement] of judgements.entries())
      shown.push(nextVerdict(shown.at(-1) ?? null, judgement, begun + i * minute, settings))
    return shown
  }
  const verdicts = (judgements: Judgement[]) => run(judgements).map(s => s.verdict)

  it('is unknown at once when something needed is missing, whatever the numbers say', () => {
    expect(
      verdicts([judge(5), judge(5), judge(5), judge(5), judge(5), judge(5), judge(5, true, false)]).slice(-2),
    ).toEqual(['fit', 'unknown'])
  })
  it('becomes fit only after five quiet minutes, and loses it at once', () => {
    expect(verdicts([...Array(6).fill(judge(20)), judge(34)])).toEqual([
      'settling',
      'settling',
      'settling',
      'settling',
      'settling',
      'fit',
      'settling',
    ])
  })
  it('stays fit while the decision rule is kept but does not become fit there', () => {
    expect(verdicts([...Array(6).fill(judge(20)), judge(32)]).at(-1)).toBe('fit')
    expect(verdicts(Array(20).fill(judge(32))).at(-1)).toBe('settling')
  })
  it('begins the five minutes anew where the rule is kept but the room is not', () => {
    const low = (minutes: number) => Array<Judgement>(minutes).fill(judge(20))
    expect(verdicts([...low(3), judge(32), ...low(6)]).slice(3)).toEqual([...Array(6).fill('settling'), 'fit'])
  })
  it('does not chatter between settling and unfit', () => {
    const flicker = Array.from({ length: 30 }, (_, i) => judge(60, i % 2 === 0))
    expect(new Set(verdicts(flicker)).size).toBe(1)
  })
  it('keeps fit for five minutes where only a doubt is new, and loses it at once when the error is over', () => {
    const quiet = Array<Judgement>(6).fill(judge(20))
    const doubt = { ...judge(40), isDoubtOnly: true }
    const shownIn = (rest: Judgement[]) => verdicts([...quiet, ...rest]).slice(6)
    expect(shownIn(Array(6).fill(doubt))).toEqual(['fit', 'fit', 'fit', 'fit', 'fit', 'settling'])
    expect(shownIn([doubt, judge(40)])).toEqual(['fit', 'settling'])
    expect(shownIn([doubt, { ...doubt, known: false }])).toEqual(['fit', 'unknown'])
    // one that went away is not counted on
    expect(shownIn([...Array(4).fill(doubt), judge(20), ...Array(4).fill(doubt)])).toEqual(Array(9).fill('fit'))
    // what is not fit does not become so by it
    expect(new Set(verdicts(Array(20).fill(doubt)))).toEqual(new Set(['settling']))
  })
  it('says settling of what was fit a moment ago and is near, and unfit once that has lasted; unfit at once far off', () => {
    const lost = (index: number, minutes: number) =>
      verdicts([...Array(6).fill(judge(20)), ...Array(minutes).fill(judge(index, false))]).at(-1)
    expect(lost(38, 1)).toBe('settling')
    expect(lost(38, 31)).toBe('settling')
    expect(lost(38, 32)).toBe('unfit')
    expect(lost(45, 1)).toBe('unfit')
  })
  it('takes fit up again after a short gap in the data, and earns it anew after a long one', () => {
    const gap = (minutes: number) => Array<Judgement>(minutes).fill(judge(20, true, false))
    const afterGap = (minutes: number) => verdicts([...Array(6).fill(judge(20)), ...gap(minutes), judge(20)])
    expect(afterGap(2).slice(5)).toEqual(['fit', 'unknown', 'unknown', 'fit'])
    expect(afterGap(3).at(-1)).toBe('settling')
  })
  it('asks for room to become fit where the index is restless, and keeps what was earned by the rule alone', () => {
    const restless = (index: number, known = true) => ({ ...judge(index, true, known), room: 10 })
    // 22 − 3 leaves 11 of 30; 24 − 3 leaves 9
    expect(verdicts(Array(20).fill(restless(24))).at(-1)).toBe('settling')
    const earned = Array(6).fill(restless(22))
    expect(verdicts(earned).at(-1)).toBe('fit')
    expect(verdicts([...earned, ...Array(20).fill(restless(28))]).at(-1)).toBe('fit')
    // nor does a short gap in the data take it away, nor one within a doubt
    expect(verdicts([...earned, restless(28), restless(28, false), restless(28)]).at(-1)).toBe('fit')
    const doubt = { ...restless(40), isDoubtOnly: true }
    expect(verdicts([...earned, doubt, restless(28, false), restless(28)]).at(-1)).toBe('fit')
    expect(verdicts([...earned, restless(34), restless(28)]).at(-1)).toBe('settling')
  })
  it('keeps the moment since which it stands', () => {
    expect(run(Array(9).fill(judge(60, false))).at(-1)).toMatchObject({ verdict: 'unfit', since: begun })
  })
})
