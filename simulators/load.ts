import { type assemble, frictionOver } from './assembly.js'
import type { Duty } from './duty.js'
import type { ThermalNetwork } from './network.js'
import type { MachinePlant } from './plant.js'

/** The heat that a machine takes up: of its work, and W of the sun on it. */
export type Load = Duty & { sun: number }

/** Puts a machine's work, and the sun on it, into a thermal network of its nodes. */
export const createLoad = (
  plant: MachinePlant,
  { bodyOf, strips }: Pick<ReturnType<typeof assemble>, 'bodyOf' | 'strips'>,
) => {
  const spindle = bodyOf(plant.spindle.body).core
  const sunny = plant.sun ? bodyOf(plant.sun.body).skin : 0
  const bearings = plant.axes.map(axis => (axis.measuring.kind === 'screw' ? bodyOf(axis.measuring.bearing).core : -1))
  const friction = strips.map(strip => strip.friction)
  let rubbedAt = 0

  const moveNut = (nutAt: number): void => {
    rubbedAt = nutAt
    plant.axes.forEach(({ workAt, travel }, i) => {
      friction[i] = nutAt === 0 ? strips[i]!.friction : frictionOver(strips[i]!, workAt + nutAt * travel, travel)
    })
  }

  return {
    /** moving air takes more heat off a screw that turns */
    setMotion: (of: ThermalNetwork, motion: number): void => {
      plant.axes.forEach((axis, i) => {
        if (axis.measuring.kind !== 'screw') return
        const strip = strips[i]!
        of.toAir.fill(strip.toAir * (1 + axis.measuring.motionFilm * motion), strip.first, strip.first + strip.cells)
      })
      of.changed()
    },
    setHeat: (of: ThermalNetwork, { spindle: turning, motion, nutAt = 0, sun }: Load): void => {
      if (nutAt !== rubbedAt) moveNut(nutAt)
      of.heat.fill(0)
      of.heat[spindle]! += plant.spindle.heat * turning
      of.heat[sunny]! += sun
      plant.axes.forEach((axis, i) => {
        if (axis.measuring.kind !== 'screw') return
        const strip = strips[i]!
        of.heat[bearings[i]!]! += axis.measuring.bearingHeat * motion
        const rubbing = axis.measuring.nutHeat * motion
        for (let k = 0; k < strip.cells; k++) of.heat[strip.first + k]! += friction[i]![k]! * rubbing
      })
    },
  }
}
