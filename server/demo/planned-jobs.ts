import { DateTime } from 'luxon'
import type { JobPlan } from '../../core/morning/index.js'
import type { Shop } from '../../core/shop.js'
import { fastestOf, type ToolList } from '../../core/spindle/index.js'
import type { Service } from '../service.js'
import { toolsListed } from './spindles.js'

const minute = 60_000
const micrometre = 1e-6

type Draft = Omit<JobPlan, 'start' | 'share' | 'zeroedAt' | 'from'> &
  Partial<Pick<JobPlan, 'share' | 'zeroedAt'>> & {
    /** min after the demo has begun */
    in: number
    /** from a store at a temperature, °C, so many minutes ago */
    came?: { temperature: number; ago: number }
  }

/**
 * What the demo's people plan for the day: parts and machines are chosen so that what the shop does at whatever hour it is
 * opened calls for one answer of each kind. What is answered is computed as for any other job.
 */
const drafts: readonly Draft[] = [
  {
    // the machine has been run hard, and rests
    in: 10,
    part: 'Pump housing',
    features: [{ name: 'bore', length: 0.12, tolerance: 16 * micrometre }],
    material: 'aluminium 6061',
    machines: ['mill-5'],
    duration: 2700,
  },
  {
    in: 15,
    part: 'Spindle sleeve',
    features: [{ name: 'seat', length: 0.08, tolerance: 19 * micrometre, grade: 'h6' }],
    material: 'steel',
    machines: ['grinder-1'],
    duration: 5400,
  },
  {
    // beside the dock door it is never as steady as this asks for, in the fine room it is
    in: 15,
    part: 'Guide rail',
    features: [{ name: 'thickness', length: 0.12, tolerance: 16 * micrometre }],
    material: 'aluminium 6061',
    machines: ['mill-2', 'mill-3'],
    duration: 1800,
  },
  {
    // turns on whether the dock door stands open
    in: 30,
    part: 'Cover plate',
    features: [{ name: 'bores', length: 0.12, tolerance: 25 * micrometre }],
    material: 'aluminium 6061',
    machines: ['mill-2'],
    duration: 1800,
  },
  {
    // the casting is cold right through, the machine is ready
    in: 45,
    part: 'Gearbox case',
    features: [
      { name: 'bores', length: 0.32, tolerance: 57 * micrometre, grade: 'H7' },
      { name: 'face', length: 0.18, tolerance: 40 * micrometre, grade: 'IT7' },
    ],
    material: 'grey iron',
    machines: ['mill-3'],
    duration: 5400,
    came: { temperature: 10, ago: 20 },
    size: { thickness: 0.02 },
  },
  {
    // one of the machine's sensors has been silent for hours
    in: 60,
    part: 'Bearing block',
    features: [{ name: 'height', length: 0.072, tolerance: 19 * micrometre, grade: 'h6' }],
    material: 'steel',
    machines: ['grinder-2'],
    duration: 2700,
  },
  {
    // closer than this machine can be trusted with
    in: 75,
    part: 'Drive shaft',
    features: [{ name: 'seat', length: 0.06, tolerance: 8 * micrometre, diameter: true, axis: 'X' }],
    material: 'steel',
    machines: ['lathe-1'],
    duration: 5400,
  },
  {
    // it counts from the zero set on Monday, and the machine has been warmed since
    in: 90,
    part: 'Pallet block',
    features: [{ name: 'pocket place', length: 0.045, tolerance: 55 * micrometre }],
    material: 'steel',
    machines: ['mill-5'],
    duration: 1200,
    zeroedAt: 'datum',
  },
  {
    // six tools, the first of which needs a warm spindle
    in: 150,
    part: 'Valve body',
    features: [{ name: 'bores', length: 0.14, tolerance: 110 * micrometre }],
    material: 'aluminium 6061',
    machines: ['mill-1'],
    duration: 3600,
  },
  {
    in: 240,
    part: 'Fixture plate',
    features: [{ name: 'holes', length: 0.4, tolerance: 120 * micrometre }],
    material: 'steel',
    machines: ['mill-3'],
    duration: 7200,
  },
]

/**
 * The plan as of a moment (ms): all of it for the day that this is, however late it is.
 *
 * @param valveBody the tool list of that part; without one, it is planned as others are
 */
const demoPlan = (
  { timeZone }: Pick<Shop, 'timeZone'>,
  now: number,
  valveBody?: ToolList,
): (JobPlan & { day: string })[] => {
  const begun = DateTime.fromMillis(now, { zone: timeZone })
  const last = begun.endOf('day').startOf('minute').toMillis()
  const day = begun.toISODate()!
  const round = Math.ceil(now / (5 * minute)) * 5 * minute
  return drafts.map(({ in: after, came, ...draft }) => {
    const start = Math.min(round + after * minute, last)
    const from: JobPlan['from'] = came
      ? { kind: 'store', temperature: came.temperature, broughtIn: now - came.ago * minute }
      : { kind: 'shop' }
    return {
      share: 0.3,
      zeroedAt: 'job start',
      ...draft,
      start,
      from,
      day,
      ...(draft.part === 'Valve body' && valveBody && { tools: valveBody.id, speed: fastestOf(valveBody) }),
    }
  })
}

/** Plans the demo's day. */
export const planDay = async ({ actions, now }: Pick<Service, 'actions' | 'now'>, shop: Shop): Promise<void> => {
  const valveBody = await toolsListed({ actions }, shop.machines.find(({ id }) => id === 'mill-1')!)
  await actions.planJobs(demoPlan(shop, now(), valveBody), 'Invented setter')
}
