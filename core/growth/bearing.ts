/**
 * Thermal diffusivity of the low-alloy steel of ball screws, m²/s: 12.2e-6 for chromium-molybdenum steel at 300 K (plain
 * carbon steel reaches 17.7e-6).
 *
 * @see Incropera, DeWitt, Bergman and Lavine, Fundamentals of Heat and Mass Transfer, table A.1 (from memory)
 */
const screwDiffusivity = 12.2e-6

/**
 * How far along a screw the temperature of its bearing reaches: the fin length √(kD/4h) of a round bar that loses heat
 * through the film h, which is the same as √(aτ) since its time constant is τ = ρcD/4h.
 *
 * @param timeConstant of the screw, s
 * @param diffusivity a = k/ρc, m²/s
 * @returns m
 * @see Incropera, DeWitt, Bergman and Lavine, Fundamentals of Heat and Mass Transfer, 3.6 (heat from extended surfaces)
 */
export const conductionLength = (timeConstant: number, diffusivity = screwDiffusivity): number =>
  Math.sqrt(diffusivity * timeConstant)

/**
 * Length of screw that its bearing holds back: ∫ e^(−x/l) dx from the bearing to a distance. A long fin held at its base
 * is away from its surroundings by e^(−x/l) of what its base is away (Incropera, table 3.4, case D, infinite fin); so the
 * mean temperature of the stretch is T_screw − (T_screw − T_bearing) · heldLength / distance.
 *
 * It is the steady profile: while the screw's temperature is still changing, the bearing's reaches less far along it.
 *
 * @param distance from the bearing, m; negative on its other side
 * @param length of conduction, m
 * @returns m, with the sign of the distance
 */
export const heldLength = (distance: number, length: number): number =>
  Math.sign(distance) * length * -Math.expm1(-Math.abs(distance) / length)

/**
 * Part of the difference between screw and bearing that is left at a distance: the derivative of `heldLength`.
 *
 * @param distance from the bearing, m, on either side
 * @param length of conduction, m
 * @returns 1 at the bearing, towards 0 far from it
 */
export const heldPart = (distance: number, length: number): number => Math.exp(-Math.abs(distance) / length)

/**
 * Temperature of the screw far from its bearing, from that of a place on it.
 *
 * @param rise of the place above the reference, K
 * @param bearingRise of the bearing above the reference, K
 * @param distance of the place from the bearing, m; one nearer than the conduction length counts as that far, since close
 *   to its bearing a screw tells little of the rest
 * @param length of conduction, m
 * @returns K above the reference
 */
export const riseBeyond = (rise: number, bearingRise: number, distance: number, length: number): number =>
  bearingRise + (rise - bearingRise) / (1 - heldPart(Math.max(Math.abs(distance), length), length))
