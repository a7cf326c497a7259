import type { AnswerKind, JobAnswer, JobError, PlannedJob, Todo } from '../../core/morning/index.js'
import type { Leaves } from '../../core/state.js'
import { now, reasons, remedies } from './examples.js'

// One invented example at least of every answer to a planned job, and of every line of what to do first.

const minutes = (ahead: number) => now + ahead * 60_000

const shop = {
  machines: [
    { id: 'mill-1', name: 'Mill 1' },
    { id: 'grinder-2', name: 'Grinder 2' },
  ],
  sensors: [{ id: 's-1', name: 'Mill 1 column rear' }],
  sources: [{ id: 'yard-door', name: 'Yard door' }],
}
type Named = Parameters<typeof import('../../core/sentences/index.js').sayAnswer>[2]
export const named = shop as unknown as Named

export const job: PlannedJob = {
  id: 7,
  part: 'Pump housing',
  features: [{ name: 'bore', length: 0.12, tolerance: 22e-6, grade: 'H6' }],
  material: 'aluminium 6061',
  machines: ['mill-1', 'grinder-2'],
  start: minutes(30),
  duration: 2700,
  share: 0.3,
  zeroedAt: 'job start',
  from: { kind: 'shop' },
  enteredAt: minutes(-600),
  by: 'KM',
}

const error: JobError = {
  machine: 'mill-1',
  start: job.start,
  feature: 0,
  axis: 'X',
  error: 8.4e-6,
  uncertainty: 2.2e-6,
  granted: 6.6e-6,
  tolerance: 22e-6,
  budget: [],
}
const none: Omit<JobAnswer, 'answer'> = {
  job: 7,
  at: now,
  machine: 'mill-1',
  start: null,
  ready: null,
  waitsFor: null,
  asPlanned: error,
  asAdvised: null,
  change: null,
  windows: [],
  reasons: [],
}
const moving = [reasons.drift[0]!]
const ready = { earliest: minutes(110), likely: minutes(130), latest: minutes(160) }
const leaves: Leaves = { at: minutes(30), error: 1.1e-6, uncertainty: 1.7e-6, granted: 6.6e-6, fitBy: minutes(30) }
const missing = remedies.sensor[0]!

export const answers: { [Kind in AnswerKind]: (JobAnswer & { answer: Kind })[] } = {
  go: [
    { ...none, answer: 'go', start: job.start, asAdvised: error },
    { ...none, answer: 'go', start: minutes(45), asAdvised: error },
  ],
  'go once zeroed': [
    {
      ...none,
      answer: 'go once zeroed',
      start: job.start,
      change: { kind: 'zero', firstPart: false, first: false, leaves },
      reasons: moving,
    },
  ],
  wait: [
    { ...none, answer: 'wait', start: ready.latest, ready, waitsFor: 'machine', reasons: moving },
    {
      ...none,
      answer: 'wait',
      start: ready.latest,
      ready,
      waitsFor: 'part',
      change: { kind: 'soak', leaves: { ...leaves, fitBy: ready.latest } },
      reasons: [reasons.workpiece[0]!],
    },
    {
      ...none,
      answer: 'wait',
      ready: { earliest: job.start, likely: job.start, latest: job.start },
      waitsFor: 'machine',
      reasons: [reasons.uncertainty[0]!],
    },
    { ...none, answer: 'wait', ready, waitsFor: 'machine', change: remedies.probe[0]!, reasons: moving },
  ],
  move: [
    {
      ...none,
      answer: 'move',
      machine: 'grinder-2',
      start: job.start,
      ready,
      change: remedies.move[0]!,
      reasons: moving,
    },
    {
      ...none,
      answer: 'move',
      machine: 'grinder-2',
      start: job.start,
      change: remedies.move[0]!,
      reasons: [missing.missing],
    },
  ],
  'cannot tell': [{ ...none, answer: 'cannot tell', asPlanned: null, change: missing, reasons: [missing.missing] }],
  'not today': [
    {
      ...none,
      answer: 'not today',
      change: { kind: 'shut', source: 'yard-door', name: 'Yard door', leaves: { ...leaves, fitBy: minutes(90) } },
      reasons: moving,
    },
    { ...none, answer: 'not today', change: remedies.air[1]!, reasons: [reasons.workpiece[0]!] },
  ],
}

const of = { by: null, jobs: [{ job: 7, before: 'not today', after: 'go', start: minutes(90) }] } as const
const todo = <About extends Todo['about']>(about: About): Todo & { about: About } => ({
  ...of,
  jobs: [...of.jobs],
  about,
})

export const todos: { [Kind in Todo['about']['kind']]: (Todo & { about: { kind: Kind } })[] } = {
  sensor: [todo({ kind: 'sensor', sensor: 's-1' })],
  remedy: [
    todo({ kind: 'remedy', machine: 'mill-1', remedy: remedies.shut[0]!, reason: moving[0]! }),
    todo({ kind: 'remedy', machine: 'mill-1', remedy: remedies.zero[0]!, reason: null }),
  ],
  'spindle warm-up': [
    todo({ kind: 'spindle warm-up', machine: 'mill-1', list: 3, job: 7, duration: 1440, speed: 100 }),
    todo({ kind: 'spindle warm-up', machine: 'mill-1', list: 3, job: 0, duration: 1440, speed: 100 }),
  ],
  soak: [todo({ kind: 'soak', jobs: [7], until: minutes(130) })],
  'no levelling': [
    todo({ kind: 'no levelling', machine: 'mill-1', until: minutes(200) }),
    todo({ kind: 'no levelling', machine: 'mill-1', until: null }),
  ],
  'heating late': [
    todo({ kind: 'heating late', usual: minutes(-160), came: minutes(-110) }),
    todo({ kind: 'heating late', usual: minutes(-160), came: null }),
  ],
  calibration: [todo({ kind: 'calibration', sensor: 's-1', due: '2026-01-05' })],
}
