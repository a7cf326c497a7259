import { growthScale, type Scale, type UnitSystem } from '../../core/format.js'
import type { WorkClass } from '../../core/shop.js'
import type { AxisJob } from '../../core/state.js'
import { toTenths } from '../../core/units.js'

/** The scale of the tolerance window, the same for every machine on the wall. Lengths in m. */
export interface WindowScale {
  /** the frame: half the tolerance to either side of nominal */
  half: number
  /** the shaded part: what the work class grants to heat, to either side */
  grant: number
  /** what is drawn to either side */
  reach: number
}

/** beyond the frame there is room to see how far outside a mark is */
const room = 1.22

export const windowScale = ({ tolerance, share }: Pick<WorkClass, 'tolerance' | 'share'>): WindowScale => ({
  half: tolerance / 2,
  grant: share * tolerance,
  reach: (tolerance / 2) * room,
})

/** A position across the drawing, 0 at its left end and 1 at its right, and the side on which it fell off the drawing. */
export interface Position {
  at: number
  beyond: -1 | 0 | 1
}

/** @param length m from nominal */
export const positionOn = ({ reach }: WindowScale, length: number): Position => {
  if (length > reach) return { at: 1, beyond: 1 }
  if (length < -reach) return { at: 0, beyond: -1 }
  return { at: (length / reach + 1) / 2, beyond: 0 }
}

/** What is drawn for one axis. */
export interface AxisMark {
  axis: string
  now: Position
  /** what it runs through within the job */
  from: Position
  to: Position
  /** with the uncertainty */
  low: Position
  high: Position
  inHour: Position
  /** what it runs through, or its whisker, leaves what is granted to heat */
  outside: boolean
}

/** a thousandth of the grant: what arithmetic may lose on its way here must not turn a verdict's picture */
const slack = 1.001

const leaves = (grant: number, { low, high }: AxisJob['range'], uncertainty: number) =>
  Math.max(Math.abs(low), Math.abs(high)) + uncertainty > grant * slack

export const axisMark = (scale: WindowScale, job: AxisJob): AxisMark => {
  const { axis, error, range, uncertainty, errorInHour } = job
  return {
    axis,
    now: positionOn(scale, error),
    from: positionOn(scale, range.low),
    to: positionOn(scale, range.high),
    low: positionOn(scale, range.low - uncertainty),
    high: positionOn(scale, range.high + uncertainty),
    inHour: positionOn(scale, errorInHour),
    outside: leaves(scale.grant, range, uncertainty),
  }
}

/** the axes that a job begun in an hour would find outside, if conditions hold and the uncertainty stays what it is */
export const leavingWithinHour = ({ grant }: WindowScale, axes: readonly AxisJob[]): string[] =>
  axes
    .filter(a => leaves(grant, a.rangeInHour, a.uncertainty) && !leaves(grant, a.range, a.uncertainty))
    .map(a => a.axis)

/** µm, or ten-thousandths of an inch: what a machinist calls tenths */
export const wallScale: Record<UnitSystem, Scale> = {
  metric: growthScale.metric,
  inch: { unit: '0.0001 in', of: toTenths },
  tenths: growthScale.tenths,
}

/** A signed number without its unit, as beside the marks: "+3.1", "−1.0", "+24", "0". @param length m */
export const wallNumber = (length: number, system: UnitSystem): string => {
  const amount = wallScale[system].of(length)
  const digits = Math.abs(amount).toFixed(Math.abs(amount) < 9.95 ? 1 : 0)
  if (Number(digits) === 0) return '0'
  return `${amount < 0 ? '−' : '+'}${digits}`
}

/** The same as on the scale, where digits that say nothing are left out: "−6.6", "+11", "+5". @param length m */
export const scaleNumber = (length: number, system: UnitSystem): string =>
  wallNumber(length, system).replace(/\.0$/, '')

/** two numbers closer than this part of the drawing would run into each other */
const apart = 0.09

/** Where the scale carries numbers: nominal, the ends of the frame and, where there is room, of the grant. m */
export const scaleNumbers = (scale: WindowScale): number[] => {
  const { half, grant, reach } = scale
  const grantFits = (half - grant) / (2 * reach) >= apart && grant / (2 * reach) >= apart
  return grantFits ? [-half, -grant, 0, grant, half] : [-half, 0, half]
}
