/** A part that lies in a shop, as warm all through: small and of metal. SI. */
interface LyingPart {
  /** kg */
  mass: number
  /** J/kg/K */
  heatCapacity: number
  /** kg/m³ */
  density: number
  /** of its surface, 0..1 */
  emissivity: number
}

/** W/m²/K⁴, Stefan and Boltzmann */
const radiation = 5.67e-8
/** W/m²/K; how much of still air moves anyway. Judgement, no source */
const draught = 1.5
const step = 30

/**
 * Lets a part lie in air. Its film is that of natural convection at an upright plate, 1.42·(ΔT/L)^¼ W/m²/K, with a little
 * draught, and radiation to walls as warm as the air; it is a block of 1 : 1 : 2.
 *
 * @param temperature °C, when it is put there
 * @see Holman, J. P., Heat Transfer, simplified equations for air (from memory)
 */
export const layPart = ({ mass, heatCapacity, density, emissivity }: LyingPart, temperature: number) => {
  const side = Math.cbrt(mass / density / 2)
  const area = 10 * side ** 2
  let now = temperature
  return {
    /** °C */
    temperature: () => now,
    /** @param air °C @param seconds that it lies in it */
    lie: (air: number, seconds: number): void => {
      for (let left = seconds; left > 0; left -= step) {
        const apart = air - now
        const film = draught + 1.42 * (Math.abs(apart) / side) ** 0.25
        const flow = film * apart + emissivity * radiation * ((air + 273.15) ** 4 - (now + 273.15) ** 4)
        now += (area * flow * Math.min(step, left)) / (mass * heatCapacity)
      }
    },
  }
}
