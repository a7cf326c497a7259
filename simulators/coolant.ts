import type { CoolantPlant } from './plant.js'

/** The coolant's level approaches what its chiller (or, switched off, the air) makes of it; both are °C. */
export const coolantLevel = (
  plant: CoolantPlant,
  level: number,
  air: number,
  duty: number,
  on: boolean,
  h: number,
): number => {
  const target = on ? plant.set + plant.towardsAir * (air - plant.set) + plant.dutyRise * duty : air
  return level + (target - level) * (1 - Math.exp(-h / (on ? plant.settle : plant.idle)))
}

/** K; a saw to and fro of the chiller's cycling */
export const coolantRipple = (plant: CoolantPlant, seconds: number): number => {
  const phase = (((seconds / plant.period) % 1) + 1) % 1
  return plant.ripple * (phase < 0.5 ? 4 * phase - 1 : 3 - 4 * phase)
}
