import { bearingBlock, bearingBlocks, chilled, ironBody, screwAxis } from '../making.js'
import type { MachinePlant } from '../plant.js'

const weekdays = [1, 2, 3, 4, 5]
const eddies = { spread: 0.08, memory: 200 }

const mill1: MachinePlant = {
  id: 'mill-1',
  zone: 'middle',
  influences: [
    { source: 'heater-north', share: 0.06 },
    { source: 'supply-vent', share: 0.15 },
  ],
  mixing: 240,
  eddies,
  bodies: [
    ironBody('bed', 900, 4.6),
    ironBody('column', 600, 4.1, { body: 'bed', joint: 4 }),
    ironBody('head', 120, 1.02, { body: 'column', joint: 1.2 }),
    ...bearingBlocks('bed', 'bed', 'column'),
  ],
  axes: [
    screwAxis('X', { travel: 0.762, workAt: 0.381, alpha: 11.83e-6, farEnd: 0.84, minutes: 50, nutHeat: 9 }),
    screwAxis('Y', { travel: 0.4064, workAt: 0.2032, alpha: 11.2e-6, farEnd: 0.48, minutes: 34, nutHeat: 6 }),
    screwAxis('Z', { travel: 0.508, workAt: 0.254, alpha: 11.75e-6, farEnd: 0.58, minutes: 41, nutHeat: 6 }),
  ],
  structure: [
    { kind: 'bar', axis: 'Z', sign: 1, length: 0.6, alpha: 11.1e-6, over: { column: 0.93, bed: 0.07 } },
    { kind: 'bar', axis: 'Z', sign: -1, length: 0.22, alpha: 11.1e-6, over: { head: 0.95, column: 0.05 } },
  ],
  spindle: { body: 'head', heat: 80 },
  waste: { standby: 250, duty: 4000 },
  part: { follows: 'air', lag: 1600, workRise: 0.15 },
  duty: { shifts: [{ weekdays, from: 6, to: 14.5 }], spindle: 0.4, motion: 0.3, job: [1, 2.5] },
}

const mill2: MachinePlant = {
  id: 'mill-2',
  zone: 'south',
  influences: [
    { source: 'dock-door', share: 0.45 },
    { source: 'supply-vent', share: 0.05 },
  ],
  mixing: 200,
  eddies: { spread: 0.1, memory: 150 },
  bodies: [
    ironBody('bed', 850, 4.2),
    ironBody('column-front', 260, 2.2, { body: 'bed', joint: 2 }),
    ironBody('column-rear', 220, 1.75, { body: 'column-front', joint: 4 }),
    ironBody('head', 110, 1.35, { body: 'column-front', joint: 1 }),
    ...bearingBlocks('bed', 'bed', 'column-front'),
  ],
  axes: [
    screwAxis('X', { travel: 0.762, workAt: 0.38, alpha: 11.25e-6, farEnd: 0.84, minutes: 38, nutHeat: 9 }),
    screwAxis('Y', { travel: 0.406, workAt: 0.2, alpha: 11.8e-6, farEnd: 0.48, minutes: 46, nutHeat: 6 }),
    screwAxis('Z', { travel: 0.508, workAt: 0.25, alpha: 11.3e-6, farEnd: 0.58, minutes: 32, nutHeat: 6 }),
  ],
  structure: [
    {
      kind: 'bar',
      axis: 'Z',
      sign: 1,
      length: 0.6,
      alpha: 11.65e-6,
      over: { 'column-front': 0.52, 'column-rear': 0.48 },
    },
    {
      kind: 'bending column',
      axis: 'Y',
      sign: 1,
      height: 0.7,
      depth: 0.35,
      alpha: 11.65e-6,
      front: 'column-front',
      rear: 'column-rear',
    },
    { kind: 'bar', axis: 'Z', sign: -1, length: 0.22, alpha: 11.65e-6, over: { head: 1 } },
  ],
  spindle: { body: 'head', heat: 65 },
  waste: { standby: 250, duty: 4000 },
  part: { follows: 'air', lag: 1500, workRise: 0.15 },
  duty: { shifts: [{ weekdays, from: 6, to: 14.5 }], spindle: 0.4, motion: 0.3, job: [0.8, 2] },
}

const mill4: MachinePlant = {
  id: 'mill-4',
  zone: 'middle',
  influences: [
    { source: 'compressor', share: 0.1 },
    { source: 'yard-door', share: 0.06 },
  ],
  mixing: 180,
  eddies,
  bodies: [
    ironBody('bed', 1100, 5),
    ironBody('column', 700, 3.1, { body: 'bed', joint: 4 }),
    ironBody('head', 140, 1.4, { body: 'column', joint: 1.2 }),
    ...bearingBlocks('bed', 'bed', 'column'),
  ],
  axes: [
    screwAxis('X', {
      travel: 1,
      workAt: 0.5,
      alpha: 11.75e-6,
      diameter: 0.04,
      minutes: 50,
      nutHeat: 14,
      core: { film: 800 },
    }),
    screwAxis('Y', { travel: 0.5, workAt: 0.25, alpha: 11.3e-6, minutes: 35, nutHeat: 6 }),
    screwAxis('Z', { travel: 0.5, workAt: 0.25, alpha: 11.8e-6, minutes: 43, nutHeat: 6 }),
  ],
  structure: [
    { kind: 'bar', axis: 'Z', sign: 1, length: 0.65, alpha: 11.1e-6, over: { column: 0.95, bed: 0.05 } },
    { kind: 'bar', axis: 'Z', sign: -1, length: 0.24, alpha: 11.1e-6, over: { head: 1 } },
  ],
  coolant: chilled({ set: 20.2, towardsAir: 0.3, ripple: 0.2, period: 660, chiller: 'working hours' }),
  spindle: { body: 'head', heat: 90 },
  waste: { standby: 400, duty: 5000 },
  part: { follows: 'air', lag: 1700, workRise: 0.15 },
  duty: {
    shifts: [
      { weekdays, from: 5.5, to: 13.5 },
      { weekdays, from: 13.7, to: 20 },
    ],
    spindle: 0.4,
    motion: 0.35,
    job: [1, 3],
  },
}

const lathe1: MachinePlant = {
  id: 'lathe-1',
  zone: 'north',
  influences: [
    { source: 'yard-door', share: 0.3 },
    { source: 'oven', share: 0.1 },
  ],
  mixing: 220,
  eddies,
  bodies: [
    ironBody('bed', 1000, 4.7),
    ironBody('headstock', 200, 1.25, { body: 'bed', joint: 2 }),
    bearingBlock('x-bearing', 'bed', 5),
    bearingBlock('z-bearing', 'bed'),
  ],
  axes: [
    screwAxis('X', {
      travel: 0.25,
      workAt: 0.12,
      alpha: 11.75e-6,
      fixedAt: -0.06,
      diameter: 0.025,
      minutes: 26,
      nutHeat: 3,
    }),
    screwAxis('Z', { travel: 0.6, workAt: 0.25, alpha: 11.2e-6, minutes: 39, nutHeat: 6 }),
  ],
  structure: [
    { kind: 'bar', axis: 'Z', sign: 1, length: 0.4, alpha: 11.7e-6, over: { bed: 1 } },
    { kind: 'bar', axis: 'X', sign: 1, length: 0.18, alpha: 11.7e-6, over: { headstock: 0.9, bed: 0.1 } },
    { kind: 'bar', axis: 'Z', sign: -1, length: 0.25, alpha: 11.7e-6, over: { headstock: 1 } },
  ],
  spindle: { body: 'headstock', heat: 110 },
  waste: { standby: 250, duty: 4500 },
  part: { follows: 'air', lag: 1300, workRise: 0.15 },
  duty: { shifts: [{ weekdays, from: 6, to: 14.5 }], spindle: 0.4, motion: 0.3, job: [0.7, 2] },
}

export const hallMachines = [mill1, mill2, mill4, lathe1]
