import type { Refusal } from '../../core/settling/index.js'
import type { SpindleWarning } from '../../core/spindle/index.js'
import type { CommonCause, Leaves, Reason, Remedy, SensorFault, UncertaintyCause } from '../../core/state.js'

// One invented example at least of every kind of reason. The types hold them to it: a kind without one does not compile.

/** Monday 12 January 2026, 20:20 UTC */
export const now = Date.UTC(2026, 0, 12, 20, 20)
const minutes = (ago: number) => now - ago * 60_000
const screw = { node: 'x-screw', name: 'X screw' }
const shared = { axis: 'X', tolerance: 22e-6 }
const dockDoor = { source: 'dock-door', name: 'Dock door' }

export const causes: { [Kind in UncertaintyCause['kind']]: Extract<UncertaintyCause, { kind: Kind }>[] } = {
  part: [
    { kind: 'part', node: 'air', name: 'air at the machine', place: 'air', soaking: true },
    {
      kind: 'part',
      node: 'air',
      name: 'air at the machine',
      place: 'air',
      soaking: true,
      uncertainty: 0.5,
      soakToHalve: 5400,
      coolant: 'grinding coolant',
    },
    {
      kind: 'part',
      node: 'air',
      name: 'air at the machine',
      place: 'air',
      soaking: false,
      uncertainty: 0.5,
      soakToHalve: null,
    },
    { kind: 'part', node: 'coolant', name: 'grinding coolant', place: 'coolant', soaking: false },
    { kind: 'part', node: 'table', name: 'table', place: 'body', soaking: false },
  ],
  'steady temperature': [
    { kind: 'steady temperature', ...screw, going: -1.2 },
    { kind: 'steady temperature', ...screw, going: 0.8 },
    { kind: 'steady temperature', ...screw, going: 0.04 },
  ],
  'air changes': [{ kind: 'air changes', node: 'air', name: 'air at the machine', change: 0.6 }],
  placement: [{ kind: 'placement', ...screw, uncertainty: 0.2 }],
  calibration: [{ kind: 'calibration', ...screw, uncertainty: 0.15 }],
  batch: [{ kind: 'batch', batch: 'spring 2025', uncertainty: 0.1 }],
  'time constant': [{ kind: 'time constant', ...screw, relative: 0.3 }],
  'expansion of the machine': [{ kind: 'expansion of the machine', element: 'scale', relative: 0.05 }],
  'expansion of the part': [{ kind: 'expansion of the part', material: 'aluminium 6061', relative: 0.02 }],
  spindle: [
    { kind: 'spindle', isLive: true, testedAt: minutes(40_000) },
    { kind: 'spindle', isLive: false, testedAt: null },
  ],
  'expansion in the drift': [{ kind: 'expansion in the drift', relative: 0.05 }],
  'job heat': [{ kind: 'job heat', ...screw, rise: 0.8, uncertainty: 0.5 }],
  bearing: [{ kind: 'bearing' }],
}

export const faults: { [Kind in SensorFault['kind']]: Extract<SensorFault, { kind: Kind }>[] } = {
  'never reported': [{ kind: 'never reported' }],
  silent: [
    { kind: 'silent', interval: 30 },
    { kind: 'silent', interval: 600, seldom: 3600 },
  ],
  gone: [{ kind: 'gone', why: 'its edge node hall-1 has lost the broker' }],
  'fault code': [
    { kind: 'fault code', code: 'disconnected' },
    { kind: 'fault code', code: 'restarted' },
  ],
  'out of range': [
    { kind: 'out of range', value: 131.4, place: 'body', lowest: -20, highest: 110 },
    { kind: 'out of range', value: 70.5, place: 'air', lowest: -25, highest: 65 },
  ],
  spikes: [{ kind: 'spikes', count: 3, within: 7200 }],
  'stepped to the air': [{ kind: 'stepped to the air', moved: 2.9, within: 600 }],
  'follows the air': [{ kind: 'follows the air' }],
  frozen: [{ kind: 'frozen', for: 3600, moved: 0.7 }],
  strayed: [
    { kind: 'strayed', off: 1.2, isSlow: true },
    { kind: 'strayed', off: -2.3, isSlow: false },
  ],
  noisy: [{ kind: 'noisy', by: 0.7 }],
  'at odds': [{ kind: 'at odds', wandered: 1.1, within: 7200 }],
  clock: [
    { kind: 'clock', behind: 3600 },
    { kind: 'clock', behind: -45 },
  ],
  earning: [
    { kind: 'earning', goodSince: minutes(4), until: minutes(-6) },
    { kind: 'earning', goodSince: null, until: null },
  ],
  told: [{ kind: 'told', reason: 'silent; expected every 30 s', remedy: 'Check its power.' }],
}

const growth = { kind: 'growth', ...shared, length: 0.12, sinceDatum: false } as const
const workpiece = { kind: 'workpiece', ...shared, reference: 20, length: 0.12, material: 'aluminium 6061' } as const
const drift = {
  kind: 'drift',
  ...shared,
  ...screw,
  duration: 2700,
  sinceDatum: false,
  now: false,
  onDiameter: false,
} as const
const bending = { ...drift, kind: 'bending', node: 'column-front', name: 'column front' } as const
const missing = { kind: 'missing', ...screw } as const
const sensor = 'Mill 1 X screw'

export const reasons: { [Kind in Reason['kind']]: Extract<Reason, { kind: Kind }>[] } = {
  growth: [
    { ...growth, element: 'screw', apart: 3.1, amount: 4.3e-6, inAnHour: 2.1e-6 },
    { ...growth, element: 'scale', apart: -0.9, amount: -1.1e-6, inAnHour: -1.1e-6 },
    {
      ...growth,
      element: 'screw',
      apart: 1.4,
      amount: 1.9e-6,
      inAnHour: 3e-6,
      sinceDatum: true,
      disturbance: { ...dockDoor, from: minutes(12), to: null },
    },
  ],
  workpiece: [
    { ...workpiece, temperature: 16.6, rise: -3.4, amount: 4.9e-6, sinceDatum: false },
    { ...workpiece, temperature: 23.1, rise: 1.2, amount: -1.7e-6, sinceDatum: true },
  ],
  spindle: [
    {
      kind: 'spindle',
      ...shared,
      axis: 'Z',
      speed: 8000 / 60,
      duration: 2700,
      sinceDatum: false,
      onDiameter: false,
      isLive: true,
      isBeyond: false,
      testedAt: minutes(40_000),
      amount: -8.2e-6,
    },
    {
      kind: 'spindle',
      ...shared,
      axis: 'Z',
      speed: 8000 / 60,
      duration: 2700,
      sinceDatum: true,
      onDiameter: false,
      isLive: false,
      isBeyond: true,
      testedAt: null,
      amount: 12e-6,
    },
  ],
  drift: [
    {
      ...drift,
      change: -1.2,
      amount: -6.1e-6,
      disturbance: { ...dockDoor, from: minutes(60), to: minutes(48) },
    },
    { ...drift, change: 2.4, amount: 9.6e-6, sinceDatum: true },
    { ...drift, change: 2.4, amount: 19.2e-6, sinceDatum: true, now: true, onDiameter: true },
  ],
  bending: [
    { ...bending, change: 0.8, amount: 3.2e-6 },
    { ...bending, change: -0.8, amount: -3.2e-6, sinceDatum: true, now: true },
  ],
  uncertainty: Object.values(causes)
    .flat()
    .map(cause => ({ kind: 'uncertainty', ...shared, amount: 3.5e-6, cause })),
  pretension: [{ kind: 'pretension', axis: 'X', excess: 1.2 }],
  missing: [
    { ...missing, why: { kind: 'silent', sensor, since: minutes(25) } },
    { ...missing, why: { kind: 'sensor', sensor, fault: faults['stepped to the air'][0]! } },
    { ...missing, why: { kind: 'no temperature', sensor } },
    { ...missing, why: { kind: 'no sensor' } },
    { ...missing, why: { kind: 'surroundings' } },
    { ...missing, why: { kind: 'watched', since: minutes(4) } },
    { ...missing, why: { kind: 'watched', since: null } },
  ],
  zero: [
    { kind: 'zero', lacking: null },
    { kind: 'zero', lacking: ['spindle head'] },
  ],
  'stand-in': [{ kind: 'stand-in', ...screw, from: 'column front', uncertainty: 0.75 }],
  'no time': [{ kind: 'no time' }],
  'poor record': [
    { kind: 'poor record', kept: 4, of: 12 },
    { kind: 'poor record', kept: 2, of: 3 },
    { kind: 'poor record', kept: 12, of: 12, isFirstDay: true },
  ],
  waiting: [
    { kind: 'waiting', since: minutes(4), until: minutes(-6) },
    { kind: 'waiting', since: minutes(4), until: minutes(-76) },
  ],
  restless: [
    { kind: 'restless', room: 9.4, left: 3.1 },
    { kind: 'restless', room: 9.4, left: -0.2 },
  ],
  calibration: [
    {
      kind: 'calibration',
      overdue: [{ sensor: 'mill-1-x-screw', name: sensor, days: 12 }],
      count: 1,
      factor: 2.03,
    },
    {
      kind: 'calibration',
      overdue: [
        { sensor: 'a', name: sensor, days: 40 },
        { sensor: 'b', name: 'Mill 1 air', days: 12 },
        { sensor: 'c', name: 'Lathe 1 bed', days: 3 },
      ],
      count: 5,
      factor: 2.1,
    },
  ],
  told: [{ kind: 'told', text: 'X screw 3.1 K warmer than at the datum: X +18 µm over 500 mm' }],
}

const leaves: Leaves = { at: now, error: 3e-6, uncertainty: 2.1e-6, granted: 6.6e-6, fitBy: minutes(-20) }
const tooMuch: Leaves = { ...leaves, error: 5.8e-6, fitBy: null }

export const remedies: { [Kind in Remedy['kind']]: Extract<Remedy, { kind: Kind }>[] } = {
  shut: [
    { kind: 'shut', source: 'dock-door', name: 'Dock door', leaves: { ...leaves, at: minutes(-10) } },
    { kind: 'shut', source: 'dock-door', name: 'Dock door', leaves: { ...tooMuch, at: minutes(-90) } },
  ],
  zero: [
    { kind: 'zero', firstPart: false, first: false, leaves },
    { kind: 'zero', firstPart: true, first: false, leaves },
    { kind: 'zero', firstPart: true, first: true, leaves },
    { kind: 'zero', firstPart: true, first: true, leaves: tooMuch },
    { kind: 'zero', firstPart: false, first: false, leaves: tooMuch },
  ],
  wait: [{ kind: 'wait', leaves: { ...leaves, fitBy: minutes(-95) } }],
  probe: [{ kind: 'probe', leaves }],
  soak: [{ kind: 'soak', leaves: { ...leaves, fitBy: minutes(-95) } }],
  move: [{ kind: 'move', machine: 'mill-3', name: 'Mill 3' }],
  sensor: [
    { kind: 'sensor', missing: { ...missing, why: { kind: 'silent', sensor, since: minutes(25) } }, others: 0 },
    { kind: 'sensor', missing: { ...missing, why: { kind: 'no sensor' } }, others: 2 },
    { kind: 'sensor', missing: { ...missing, why: { kind: 'watched', since: minutes(4) } }, others: 0 },
  ],
  air: [
    { kind: 'air', temperature: 20, leaves: { ...leaves, at: minutes(-120), fitBy: minutes(-130) } },
    { kind: 'air', temperature: 20, leaves: { ...tooMuch, at: minutes(-120) } },
  ],
  surer: [{ kind: 'surer', cause: causes.part[0]!, leaves: tooMuch }],
}

const common: CommonCause = {
  workClass: 'bores',
  kind: 'air falling',
  machines: ['mill-1', 'mill-2', 'lathe-1'],
  of: 4,
  air: 18.2,
  reference: 20,
  usual: { likely: minutes(-660), earliest: minutes(-630), latest: minutes(-710), days: 9 },
}
export const commonCauses: { [Kind in CommonCause['kind']]: (CommonCause & { kind: Kind })[] } = {
  'air falling': [{ ...common, kind: 'air falling' }],
  'air rising': [{ ...common, kind: 'air rising', air: 18.6 }],
  'air cold': [{ ...common, kind: 'air cold', usual: null }],
  'air warm': [{ ...common, kind: 'air warm', air: 23.4 }],
}

export const spindleWarnings: {
  [Kind in SpindleWarning['kind']]: Extract<SpindleWarning, { kind: Kind }>[]
} = {
  changed: [
    { kind: 'changed', since: minutes(40_000), speed: 200, change: 8.4e-6, halfInterval: 1.9e-6 },
    { kind: 'changed', since: minutes(40_000), speed: 100, change: -5.4e-6, halfInterval: 1.2e-6 },
  ],
  'does not fit': [{ kind: 'does not fit', misfit: 2.4e-6 }],
  late: [{ kind: 'late' }],
  'too short': [
    { kind: 'too short', speeds: [150] },
    { kind: 'too short', speeds: [50, 100, 150] },
  ],
  outliers: [
    { kind: 'outliers', count: 1 },
    { kind: 'outliers', count: 3 },
  ],
  'cannot be fitted': [{ kind: 'cannot be fitted', why: '2 readings at 6000 1/min: read more often' }],
}

export const refusals: { [Kind in Refusal['kind']]: Extract<Refusal, { kind: Kind }> } = {
  'few readings': { kind: 'few readings', hours: 24.9, needed: 36 },
  'moved little': { kind: 'moved little', moved: 0.04, needed: 0.1 },
  uncertain: { kind: 'uncertain', allowed: 0.25 },
  'at the bounds': { kind: 'at the bounds', shortest: 120, longest: 172_800 },
  'two speeds': { kind: 'two speeds', shortest: 540, longest: 16_800 },
  'residuals alike': { kind: 'residuals alike', correlation: 0.72 },
  'configured is as sure': { kind: 'configured is as sure', configured: 0.1, found: 0.12 },
  'follows another': {
    kind: 'follows another',
    follows: 'air at the machine',
    better: 'Hall air middle',
    timeConstant: 3600,
    otherwise: 5400,
  },
  told: { kind: 'told', text: 'the surroundings moved it by only 0.04 K; 0.1 K are needed' },
}
