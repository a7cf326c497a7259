import type { JobAnswer, JobError, MorningCheck, Night, PlannedJob } from '../../core/morning/index.js'
import type { Reason } from '../../core/state.js'

// A morning of the demo shop, invented: one job of each answer, and a night in which the heating came back late.

const minute = 60_000
const hour = 60 * minute
/** Wednesday 14 January 2026, 00:00 in Vienna */
const midnight = Date.UTC(2026, 0, 13, 23)
const at = (clock: number): number => midnight + Math.round(clock * 60) * minute
const heating: MorningCheck['heating'] = {
  at: at(7),
  goal: at(30),
  shifts: [at(30)],
  workClass: 'bearing-seats',
  machines: [
    {
      machine: 'lathe-1',
      state: 'start',
      start: { earliest: at(27.3), likely: at(27.9), latest: at(28.4) },
      setBack: at(20),
      usual: at(29),
      waiting: 2700,
      degreeHours: 23,
      air: { set: 20.2, setBack: 17.4 },
      setbacks: 10,
      reason: null,
    },
  ],
}

export const morning = at(7)
const shiftEnd = at(16.5)

const um = 1e-6
const error = (machine: string, start: number, axis: string, e: number, u: number, tolerance: number): JobError => ({
  machine,
  start: at(start),
  feature: 0,
  axis,
  error: e * um,
  uncertainty: u * um,
  granted: 0.3 * tolerance * um,
  tolerance: tolerance * um,
  budget: [
    { name: 'part temperature', standardUncertainty: 0.38 * u * um },
    { name: `${axis} screw, its sensor`, standardUncertainty: 0.26 * u * um },
    { name: 'expansion of the machine', standardUncertainty: 0.2 * u * um },
  ],
})

const screwBehind: Reason = {
  kind: 'growth',
  axis: 'X',
  amount: 8.4 * um,
  tolerance: 22 * um,
  element: 'screw',
  apart: 1.2,
  length: 0.12,
  sinceDatum: false,
  inAnHour: 4 * um,
}
const doorOpen: Reason = {
  ...screwBehind,
  amount: -9.1 * um,
  disturbance: { source: 'yard-door', name: 'Yard door', from: at(5.7), to: null },
}
const notKnown: Reason = {
  kind: 'missing',
  node: 'column-rear',
  name: 'column rear',
  why: { kind: 'sensor', sensor: 'Mill 2 column rear', fault: { kind: 'follows the air' } },
}

type Job = Partial<Omit<PlannedJob, 'features' | 'machines' | 'start'>> & {
  feature: string
  length: number
  grade?: string
  tolerance: number
  machines: string[]
  start: number
}
const planned = (id: number, part: string, { feature, length, grade, tolerance, start, ...more }: Job): PlannedJob => ({
  id,
  part,
  features: [
    {
      name: feature,
      length: length / 1000,
      tolerance: tolerance * um,
      ...(grade !== undefined && { grade }),
      ...(/bore|seat/.test(feature) && { diameter: true }),
    },
  ],
  material: 'steel',
  start: at(start),
  duration: 3600,
  share: 0.3,
  zeroedAt: 'job start',
  from: { kind: 'shop' },
  enteredAt: at(6.6),
  by: 'KM',
  ...more,
})

const answered = (job: number, more: Partial<JobAnswer> & Pick<JobAnswer, 'answer' | 'machine'>): JobAnswer => ({
  job,
  at: morning,
  start: null,
  ready: null,
  waitsFor: null,
  asPlanned: null,
  asAdvised: null,
  change: null,
  windows: [],
  reasons: [],
  ...more,
})
const open = (machine: string, from: number, to = 16.5, afterChange: [number, number][] = []) => ({
  machine,
  fit: from < to ? [{ from: at(from), to: at(to) }] : [],
  afterChange: afterChange.map(([a, b]) => ({ from: at(a), to: at(b) })),
})
const ready = (earliest: number, likely: number, latest: number) => ({
  earliest: at(earliest),
  likely: at(likely),
  latest: at(latest),
})
const leaves = (start: number, e: number, granted: number) => ({
  at: at(start),
  error: e * um,
  uncertainty: 1.6 * um,
  granted: granted * um,
  fitBy: at(start),
})

const jobs: MorningCheck['jobs'] = [
  {
    job: planned(1, 'Spindle sleeve', {
      feature: 'seat',
      length: 80,
      grade: 'h6',
      tolerance: 19,
      machines: ['grinder-1'],
      start: 7.25,
      duration: 5400,
    }),
    answer: answered(1, {
      answer: 'go',
      machine: 'grinder-1',
      start: at(7.25),
      asPlanned: error('grinder-1', 7.25, 'X', 0.8, 1.4, 19),
      asAdvised: error('grinder-1', 7.25, 'X', 0.8, 1.4, 19),
      windows: [open('grinder-1', 7)],
    }),
  },
  {
    job: planned(2, 'Pump housing', {
      feature: 'bore',
      length: 120,
      grade: 'H6',
      tolerance: 22,
      machines: ['mill-1'],
      start: 7.5,
      duration: 2700,
      material: 'aluminium 6061',
    }),
    answer: answered(2, {
      answer: 'wait',
      machine: 'mill-1',
      start: at(10.17),
      ready: ready(9.33, 9.75, 10.17),
      waitsFor: 'machine',
      asPlanned: error('mill-1', 7.5, 'X', 8.4, 2.2, 22),
      asAdvised: error('mill-1', 10.17, 'X', 3.2, 2, 22),
      windows: [open('mill-1', 10.17)],
      reasons: [screwBehind],
    }),
  },
  {
    job: planned(3, 'Drive shaft', {
      feature: 'seat',
      length: 60,
      grade: 'k6',
      tolerance: 19,
      machines: ['lathe-1'],
      start: 7.75,
      duration: 5400,
    }),
    answer: answered(3, {
      answer: 'not today',
      machine: 'lathe-1',
      start: at(9.33),
      asPlanned: error('lathe-1', 7.75, 'X', -9.1, 2.6, 19),
      asAdvised: error('lathe-1', 9.33, 'X', -2.1, 2.2, 19),
      change: { kind: 'shut', source: 'yard-door', name: 'Yard door', leaves: leaves(9.33, -2.1, 5.7) },
      windows: [open('lathe-1', 9, 8, [[9.33, 15]])],
      reasons: [doorOpen],
    }),
  },
  {
    job: planned(4, 'Guide rail', {
      feature: 'thickness',
      length: 40,
      grade: 'IT6',
      tolerance: 16,
      machines: ['mill-4', 'mill-3'],
      start: 8,
      duration: 5400,
    }),
    answer: answered(4, {
      answer: 'move',
      machine: 'mill-3',
      start: at(8),
      ready: ready(12.5, 13, 13.5),
      waitsFor: 'machine',
      asPlanned: error('mill-4', 8, 'Z', -7.2, 2.6, 16),
      asAdvised: error('mill-3', 8, 'Z', 0.5, 1.3, 16),
      windows: [open('mill-4', 13.5), open('mill-3', 7)],
      reasons: [{ ...screwBehind, axis: 'Z', amount: -7.2 * um }],
    }),
  },
  {
    job: planned(5, 'Gearbox case', {
      feature: 'bores',
      length: 320,
      tolerance: 24,
      machines: ['mill-3'],
      start: 9,
      duration: 5400,
      material: 'grey iron',
      from: { kind: 'outdoors', broughtIn: at(6.5) },
      size: { mass: 45 },
    }),
    answer: answered(5, {
      answer: 'wait',
      machine: 'mill-3',
      start: at(11.33),
      ready: ready(10.17, 10.67, 11.33),
      waitsFor: 'part',
      asPlanned: error('mill-3', 9, 'X', 9.4, 3, 24),
      asAdvised: error('mill-3', 11.33, 'X', 3.7, 2.6, 24),
      windows: [open('mill-3', 11.33)],
      reasons: [
        {
          kind: 'workpiece',
          axis: 'X',
          amount: 9.4 * um,
          tolerance: 24 * um,
          material: 'grey iron',
          temperature: 17.2,
          rise: -2.8,
          reference: 20,
          length: 0.32,
          sinceDatum: false,
        },
      ],
    }),
  },
  {
    job: planned(6, 'Bearing block', {
      feature: 'bore',
      length: 72,
      grade: 'H6',
      tolerance: 19,
      machines: ['mill-2'],
      start: 10,
      duration: 2700,
    }),
    answer: answered(6, {
      answer: 'cannot tell',
      machine: 'mill-2',
      change: { kind: 'sensor', missing: notKnown as Extract<Reason, { kind: 'missing' }>, others: 0 },
      reasons: [notKnown],
    }),
  },
  {
    job: planned(7, 'Pallet block', {
      feature: 'pocket depth',
      length: 45,
      tolerance: 30,
      machines: ['mill-5'],
      start: 11,
      duration: 7200,
      zeroedAt: 'datum',
    }),
    answer: answered(7, {
      answer: 'go once zeroed',
      machine: 'mill-5',
      start: at(11),
      asPlanned: error('mill-5', 11, 'Z', -9.4, 3.1, 30),
      asAdvised: error('mill-5', 11, 'Z', -0.4, 2.8, 30),
      change: { kind: 'zero', firstPart: false, first: false, leaves: leaves(11, -0.4, 9) },
      windows: [open('mill-5', 9, 8, [[7, 16.5]])],
      reasons: [{ ...screwBehind, axis: 'Z', amount: -9.4 * um, sinceDatum: true }],
    }),
  },
  {
    job: planned(8, 'Fixture plate', {
      feature: 'holes',
      length: 400,
      tolerance: 61,
      machines: ['mill-1'],
      start: 13,
      duration: 7200,
    }),
    answer: answered(8, {
      answer: 'go',
      machine: 'mill-1',
      start: at(13),
      asPlanned: error('mill-1', 13, 'X', 5.2, 4.8, 61),
      windows: [open('mill-1', 8.6)],
    }),
  },
]

const steps = Array.from({ length: 14 * 12 + 1 }, (_, i) => at(-7) + (i * 14 * hour) / (14 * 12))
const clock = (time: number): number => (time - midnight) / hour
/** °C; set back at 20:00, heated again from an hour */
const hall = (time: number, back: number): number => {
  const h = clock(time)
  if (h < -4) return 20.2
  const low = 17.2 + 3 * Math.exp(-(Math.min(h, back) + 4) / 1.4)
  return h < back ? low : 20.3 - (20.3 - low) * Math.exp(-(h - back) / 1.3)
}
const fine = (time: number): number => 20 + 0.08 * Math.sin(clock(time) * 2.4)
/** growth that follows an air, m */
const following = (air: (time: number) => number, perKelvin: number, hours: number): number[] => {
  let level = air(steps[0]!)
  const first = level
  return steps.map(time => {
    level += ((air(time) - level) * (14 / 168)) / hours
    return perKelvin * um * (level - first)
  })
}
const late = (time: number): number => hall(time, 5.2)
const usualHall = (time: number): number => hall(time, 4.3)

const axes: Record<string, [string, number, number][]> = {
  'mill-1': [
    ['X', 5.3, 0.8],
    ['Y', 3.3, 0.8],
    ['Z', 4.2, 2.5],
  ],
  'mill-2': [
    ['X', 5.6, 0.8],
    ['Y', 3.4, 1.3],
    ['Z', 4.4, 1.8],
  ],
  'mill-3': [
    ['X', 3, 0.4],
    ['Y', 4, 4],
    ['Z', 2, 1],
  ],
  'mill-4': [
    ['X', 4.8, 0.4],
    ['Y', 3.8, 1],
    ['Z', 6.2, 2.7],
  ],
  'mill-5': [
    ['X', 2, 0.8],
    ['Y', 2, 0.8],
    ['Z', 3, 1],
  ],
  'lathe-1': [
    ['X', 4.2, 0.7],
    ['Z', 3.6, 2],
  ],
  'grinder-1': [
    ['X', 3.5, 0.6],
    ['Z', 4, 0.8],
  ],
  'grinder-2': [
    ['Y', 2.5, 0.4],
    ['Z', 3, 0.4],
  ],
}
const isFine = (machine: string): boolean => /3|5|grinder/.test(machine)

const night: Night = {
  from: steps[0]!,
  to: morning,
  airs: [
    {
      id: 'shop-air',
      name: 'shop air',
      course: { at: steps, value: steps.map(late) },
      usual: {
        at: steps,
        median: steps.map(usualHall),
        low: steps.map(t => usualHall(t) - 0.4),
        high: steps.map(t => usualHall(t) + 0.3),
      },
      nights: 14,
      swing: 3,
      fastest: { rate: -2.1, at: at(-3.8) },
      outside: 5.4 * 3600,
    },
    {
      id: 'fine-room',
      name: 'Fine room',
      course: { at: steps, value: steps.map(fine) },
      usual: null,
      nights: 14,
      swing: 0.2,
      fastest: { rate: 0.2, at: at(1) },
      outside: null,
    },
  ],
  machines: Object.entries(axes).map(([machine, all]) => ({
    machine,
    outside: machine === 'mill-2' ? 3.5 * 3600 : null,
    axes: all.map(([axis, perKelvin, hours]) => ({
      axis,
      growth: {
        at: steps,
        value: following(isFine(machine) ? fine : late, perKelvin, hours).map((value, i) =>
          machine === 'mill-2' && axis !== 'X' && clock(steps[i]!) > 3.2 ? null : value,
        ),
      },
    })),
  })),
  sources: [
    {
      source: 'dock-door',
      active: [
        { from: at(-6.7), to: at(-6.5) },
        { from: at(5.2), to: at(5.25) },
      ],
    },
    {
      source: 'yard-door',
      active: [
        { from: at(-6.2), to: at(-6) },
        { from: at(5.7), to: morning },
      ],
    },
    { source: 'heater-north', active: [{ from: at(5.2), to: morning }] },
  ],
  setback: { began: at(-4), back: at(5.2), usualBack: at(4.3) },
  failed: [{ sensor: 'mill-2-column-rear', from: at(3.2), to: null }],
  unusual: [
    { kind: 'heating', back: at(5.2), usual: at(4.3), air: 18.9, usualAir: 19.8 },
    { kind: 'open', source: 'yard-door', for: 78 * 60, usual: 11 * 60, still: true },
    { kind: 'outdoors', lowest: -4.1, at: at(4.5), ofNights: 14 },
    { kind: 'growth', machine: 'mill-4', axis: 'Z', amount: -16 * um, usual: 9 * um },
    { kind: 'growth', machine: 'lathe-1', axis: 'X', amount: -11 * um, usual: 5 * um },
  ],
}

const swings: Record<string, [string, number, number]> = {
  'mill-1': ['X', 18, 16],
  'mill-2': ['X', 19, 17],
  'mill-3': ['X', 0.5, 0.5],
  'mill-4': ['Z', 20, 12],
  'mill-5': ['Z', 9.3, 5],
  'lathe-1': ['X', 14, 7],
  'grinder-1': ['X', 0.5, 0.4],
  'grinder-2': ['Z', 0.5, 0.6],
}
type Verdict = MorningCheck['machines'][number]['classes'][number]['verdict']
const verdicts: Record<string, Verdict> = {
  'mill-1': 'settling',
  'mill-2': 'unknown',
  'mill-4': 'settling',
  'lathe-1': 'unfit',
}
const machines: MorningCheck['machines'] = Object.keys(axes).map(machine => {
  const verdict = verdicts[machine] ?? 'fit'
  const [axis, swing, usual] = swings[machine]!
  return {
    machine,
    classes: ['close-bores', 'bearing-seats', 'fixture-plates']
      .filter(c => machine !== 'lathe-1' || c !== 'fixture-plates')
      .map((workClass, i) => ({
        workClass,
        verdict,
        since: at(6.2),
        ready: verdict === 'settling' ? ready(9.33 - i / 2, 9.75 - i / 2, 10.17 - i / 2) : null,
      })),
    night: axes[machine]!.map(([each], i) => ({
      axis: each,
      growth: (each === axis ? -swing : -swing / (2 + i)) * um,
      swing: (each === axis ? swing : swing / 2) * um,
      usualSwing: usual * um,
    })),
    datum:
      machine === 'grinder-2'
        ? null
        : {
            at: at(-9.8),
            holds: machine === 'mill-2' ? null : swing < 1,
            axis,
            moved: -swing * um,
            uncertainty: 2 * um,
            granted: 18 * um,
          },
    warmUp:
      machine === 'mill-3'
        ? { kind: 'warming', since: at(6.8), until: at(7.2) }
        : { kind: 'at rest', since: at(-5), until: null },
    decision: machine === 'mill-3' ? { at: at(6.93), kind: 'go', by: 'KM', note: '' } : null,
  }
})

/** The whole check at 07:00. */
export const exampleMorning: MorningCheck = {
  at: morning,
  day: '2026-01-14',
  todo: [
    {
      by: null,
      about: { kind: 'remedy', machine: 'lathe-1', remedy: jobs[2]!.answer.change!, reason: doorOpen },
      jobs: [{ job: 3, before: 'not today', after: 'go', start: at(9.33) }],
    },
    {
      by: at(11),
      about: { kind: 'remedy', machine: 'mill-5', remedy: jobs[6]!.answer.change!, reason: null },
      jobs: [{ job: 7, before: 'go once zeroed', after: 'go', start: at(11) }],
    },
    {
      by: at(9),
      about: { kind: 'soak', jobs: [5], until: at(11.33) },
      jobs: [{ job: 5, before: 'wait', after: 'go', start: at(11.33) }],
    },
    {
      by: at(9.5),
      about: { kind: 'sensor', sensor: 'mill-2-column-rear' },
      jobs: [{ job: 6, before: 'cannot tell', after: 'wait', start: null }],
    },
    { by: at(13), about: { kind: 'no levelling', machine: 'mill-4', until: at(13) }, jobs: [] },
  ],
  jobs,
  machines,
  night,
  nightAwaited: false,
  heating,
  sensors: [
    { sensor: 'mill-2-column-rear', kind: 'suspect', since: at(3.2), until: null },
    { sensor: 'mill-4-z-screw', kind: 'overdue', since: at(-24 * 7), until: null },
    { sensor: 'lathe-1-air', kind: 'battery', since: at(6.6), until: null },
    { sensor: 'mill-1-air', kind: 'gap', since: at(1.1), until: at(1.8) },
  ],
}

/** A morning of which nothing is known yet. */
export const emptyMorning: MorningCheck = {
  ...exampleMorning,
  todo: [],
  jobs: [],
  machines: [],
  night: null,
  heating: null,
  sensors: [],
}

export { shiftEnd }
