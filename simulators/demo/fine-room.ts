import { bearingBlock, bearingBlocks, chilled, ironBody, scaleAxis, screwAxis } from '../making.js'
import type { MachinePlant } from '../plant.js'

const weekdays = [1, 2, 3, 4, 5]
/** @param share of the room's vent in the air at a machine */
const inFineRoom = (share: number) => ({
  zone: 'fine-room',
  influences: [{ source: 'room-vent', share }],
  mixing: 240,
  eddies: { spread: 0.04, memory: 200 },
})
/** Both ends fixed on mill 5's bed. @param stretch K that use the pretension up */
const pretensioned = (stretch: number) => ({
  kind: 'both ends fixed' as const,
  stretch,
  bed: 'bed',
  bedAlpha: 11.1e-6,
})

const mill3: MachinePlant = {
  id: 'mill-3',
  ...inFineRoom(0.08),
  bodies: [
    ironBody('bed', 1200, 4.8),
    ironBody('column', 700, 4.6, { body: 'bed', joint: 4 }),
    ironBody('head', 150, 1.3, { body: 'column', joint: 1.2 }),
  ],
  axes: [
    scaleAxis('X', { travel: 0.8, workAt: 0.4, alpha: 8.3e-6, fixedAt: 0.4, minutes: 29, on: 'bed' }),
    scaleAxis('Y', { travel: 0.7, workAt: 0.3, alpha: 8.65e-6, fixedAt: 0, minutes: 22, on: 'column' }),
    scaleAxis('Z', { travel: 0.7, workAt: 0.35, alpha: 8.35e-6, fixedAt: 0, minutes: 27, on: 'bed' }),
  ],
  structure: [
    { kind: 'bar', axis: 'Y', sign: 1, length: 0.5, alpha: 11.15e-6, over: { column: 0.95, bed: 0.05 } },
    { kind: 'bar', axis: 'Z', sign: 1, length: 0.26, alpha: 11.15e-6, over: { head: 1 } },
  ],
  spindle: { body: 'head', heat: 50 },
  waste: { standby: 250, duty: 3000 },
  part: { follows: 'air', lag: 1500, workRise: 0.1 },
  duty: { shifts: [{ weekdays, from: 7, to: 15 }], spindle: 0.06, motion: 0.1, job: [1, 3] },
}

const mill5: MachinePlant = {
  id: 'mill-5',
  ...inFineRoom(0.08),
  bodies: [
    ironBody('bed', 1000, 3.4),
    ironBody('column', 500, 3.5, { body: 'bed', joint: 4 }),
    ironBody('head', 70, 0.85, { body: 'column', joint: 0.6 }),
    ...bearingBlocks('bed', 'bed', 'column'),
  ],
  axes: [
    screwAxis('X', {
      travel: 0.6,
      workAt: 0.3,
      alpha: 11.8e-6,
      diameter: 0.036,
      minutes: 56,
      nutHeat: 8,
      mounting: pretensioned(2.8),
    }),
    screwAxis('Y', {
      travel: 0.5,
      workAt: 0.25,
      alpha: 11.25e-6,
      diameter: 0.036,
      minutes: 39,
      nutHeat: 6,
      mounting: pretensioned(3.2),
    }),
    screwAxis('Z', { travel: 0.45, workAt: 0.22, alpha: 11.75e-6, minutes: 47, nutHeat: 3.5 }),
  ],
  structure: [
    { kind: 'bar', axis: 'Z', sign: 1, length: 0.55, alpha: 11.1e-6, over: { column: 0.96, head: 0.04 } },
    { kind: 'bar', axis: 'Z', sign: -1, length: 0.3, alpha: 11.1e-6, over: { head: 1 } },
  ],
  spindle: { body: 'head', heat: 68 },
  waste: { standby: 250, duty: 2500 },
  part: { follows: 'air', lag: 1500, workRise: 0.1 },
  duty: { shifts: [{ weekdays, from: 7, to: 16 }], spindle: 0.35, motion: 0.3, job: [1, 3] },
}

const grinder1: MachinePlant = {
  id: 'grinder-1',
  ...inFineRoom(0.05),
  bodies: [
    ironBody('bed', 900, 4),
    ironBody('wheel-head', 180, 1.7, { body: 'bed', joint: 1.5 }),
    bearingBlock('x-bearing', 'bed', 5),
    bearingBlock('z-bearing', 'bed'),
  ],
  axes: [
    screwAxis('X', {
      travel: 0.2,
      workAt: 0.1,
      alpha: 11.25e-6,
      fixedAt: -0.06,
      diameter: 0.025,
      minutes: 30,
      nutHeat: 2,
    }),
    screwAxis('Z', { travel: 0.7, workAt: 0.3, alpha: 11.75e-6, diameter: 0.036, minutes: 52, nutHeat: 5 }),
  ],
  structure: [{ kind: 'bar', axis: 'X', sign: -1, length: 0.2, alpha: 11.1e-6, over: { 'wheel-head': 1 } }],
  coolant: chilled({ set: 20, towardsAir: 0.1, ripple: 0.1, period: 780, chiller: 'always' }),
  spindle: { body: 'wheel-head', heat: 60 },
  waste: { standby: 250, duty: 2000 },
  part: { follows: 'coolant', lag: 300, workRise: 0.1 },
  duty: { shifts: [{ weekdays, from: 7, to: 15 }], spindle: 0.08, motion: 0.08, job: [1, 3] },
}

const grinder2: MachinePlant = {
  id: 'grinder-2',
  ...inFineRoom(0.05),
  bodies: [ironBody('bed', 800, 3.6), ironBody('column', 350, 2.6, { body: 'bed', joint: 3 })],
  axes: [
    scaleAxis('Y', { travel: 0.3, workAt: 0.15, alpha: 11.2e-6, fixedAt: 0, minutes: 21, on: 'column' }),
    scaleAxis('Z', { travel: 0.4, workAt: 0.2, alpha: 11.75e-6, fixedAt: 0, minutes: 26, on: 'bed' }),
  ],
  structure: [{ kind: 'bar', axis: 'Y', sign: 1, length: 0.35, alpha: 11.7e-6, over: { column: 0.96, bed: 0.04 } }],
  spindle: { body: 'column', heat: 25 },
  waste: { standby: 200, duty: 1500 },
  part: { follows: 'air', lag: 1400, workRise: 0.05 },
  duty: { shifts: [{ weekdays, from: 7, to: 15 }], spindle: 0.1, motion: 0.1, job: [1, 3] },
}

export const fineRoomMachines = [mill3, mill5, grinder1, grinder2]
