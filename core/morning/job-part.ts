import type { PartOutlook } from '../judge/index.js'
import { partUncertainty } from '../judge/index.js'
import { thermalOf } from '../materials.js'
import { soakingUncertainty, temperatureAfter } from '../settling/index.js'
import { filmsOf, responseOf, type Shape } from '../soak/index.js'
import type { PlannedJob } from './planned-job.js'

/** K, standard: how well it is known how warm a part was when it was brought in. Judgement, no source */
const startUncertainty = {
  /** it had the outdoor temperature */
  outdoors: 2,
  /** and that is not known */
  'outdoors unknown': 10,
  store: 1.5,
  /** it came into the shop, from somewhere */
  shop: 3,
} as const
/** 0..1; what is left of a difference when a part counts as soaked: there a body of one time constant agrees with it */
const soaked = 0.1
/** time constants; how far ahead a part that is still to be brought in is reckoned with at most */
const farthestBack = 20

const shapeOf = (size: NonNullable<PlannedJob['size']>): Shape => {
  if ('mass' in size) return { kind: 'mass', mass: size.mass }
  if ('thickness' in size) return { kind: 'plate', thickness: size.thickness }
  // about as long as it is thick: of a longer bar the ends count less, of a disc more
  return { kind: 'cylinder', diameter: size.diameter, length: size.diameter }
}

/**
 * The time constant with which a planned part soaks in still air: that of the body that has a tenth of a difference left
 * when the part has. Conduction costs some ms: who asks often keeps it.
 *
 * @returns s; null where the size is not told or the material's heat is not known
 */
export const partTimeConstant = ({ size, material }: Pick<PlannedJob, 'size' | 'material'>): number | null => {
  const thermal = thermalOf(material)
  if (!size || !thermal) return null
  const { free } = filmsOf('still air', 'bright')
  const { left } = responseOf(
    shapeOf(size),
    thermal,
    { free: free.likely, contact: free.likely },
    'mass' in size ? 1.4 : 1,
  )
  let [low, high] = [0, 60]
  while (left(high) > soaked && high < 1e8) [low, high] = [high, 2 * high]
  while (high - low > 1) {
    const middle = (low + high) / 2
    if (left(middle) > soaked) low = middle
    else high = middle
  }
  return Math.max(high / Math.log(1 / soaked), 1)
}

/**
 * The part of a planned job on a machine: the one that is followed there, and on top of that what it brought in with it,
 * which fades with its time constant. For a body of first order the two add up whatever its surroundings do.
 *
 * @param followed     the part that the machine is followed with: it has always lain there
 * @param now          ms
 * @param outdoors     °C when it was brought in, or now if that is still to come; null where it is not known
 * @param timeConstant s, of the part; null: as that of the machine's usual part
 * @returns the part, and before when (ms) it is not in the shop
 */
export const partOf = (
  { from }: Pick<PlannedJob, 'from'>,
  followed: PartOutlook,
  now: number,
  outdoors: number | null,
  timeConstant: number | null,
): { part: PartOutlook; notBefore: number } => {
  const base = { ...followed, timeConstant: timeConstant ?? followed.timeConstant }
  const broughtIn = from.kind === 'shop' ? from.since : from.broughtIn
  if (broughtIn === undefined) return { part: base, notBefore: now }
  const { steadyTemperature, uncertaintySoaked } = base
  // s; below zero: it is still to be brought in
  const passed = Math.max((now - broughtIn) / 1000, -farthestBack * base.timeConstant)
  const there =
    passed < 0 ? temperatureAfter(base.temperature, steadyTemperature, base.timeConstant, -passed) : base.temperature
  const was = from.kind === 'store' ? from.temperature : from.kind === 'outdoors' ? (outdoors ?? there) : there
  const known = from.kind === 'outdoors' && outdoors === null ? 'outdoors unknown' : from.kind
  const left = Math.exp(-passed / base.timeConstant)
  const excess = (was - there) * left
  // what is not known of the start fades as the excess does: as if the time constant were less known by as much
  const unknown = (Math.sign(excess || 1) * startUncertainty[known] * left) / soakingUncertainty
  const slope = base.slope + (excess * passed) / base.timeConstant + unknown
  return {
    part: {
      ...base,
      temperature: base.temperature + excess,
      slope,
      uncertainty: partUncertainty(uncertaintySoaked, slope),
    },
    notBefore: Math.max(now, broughtIn),
  }
}
