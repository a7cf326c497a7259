import { bearingBlock, ironBody, screwAxis } from '../making.js'
import type { MachinePlant } from '../plant.js'

export const lathe1: MachinePlant = {
  id: 'lathe-1',
  zone: 'north',
  influences: [
    { source: 'yard-door', share: 0.3 },
    { source: 'oven', share: 0.1 },
  ],
  mixing: 220,
  eddies: { spread: 0.08, memory: 200 },
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
      farEnd: 0.31,
      diameter: 0.025,
      minutes: 26,
      nutHeat: 3,
    }),
    screwAxis('Z', { travel: 0.6, workAt: 0.25, alpha: 11.2e-6, farEnd: 0.68, minutes: 39, nutHeat: 6 }),
  ],
  structure: [
    { kind: 'bar', axis: 'Z', sign: 1, length: 0.4, alpha: 11.7e-6, over: { bed: 1 } },
    { kind: 'bar', axis: 'X', sign: 1, length: 0.18, alpha: 11.7e-6, over: { headstock: 0.9, bed: 0.1 } },
    { kind: 'bar', axis: 'Z', sign: -1, length: 0.25, alpha: 11.7e-6, over: { headstock: 1 } },
  ],
  spindle: { body: 'headstock', heat: 110 },
  waste: { standby: 250, duty: 4500 },
  part: { follows: 'air', lag: 1300, workRise: 0.15 },
  duty: { shifts: [{ weekdays: [1, 2, 3, 4, 5], from: 6, to: 14.5 }], spindle: 0.4, motion: 0.3, job: [0.7, 2] },
}
