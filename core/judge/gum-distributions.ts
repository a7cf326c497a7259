/**
 * Standard uncertainty of a value known to lie within limits, every place between them equally likely.
 *
 * @param halfWidth half the distance between the limits, in the unit of the value
 * @see GUM (JCGM 100:2008), 4.3.7
 */
export const rectangular = (halfWidth: number): number => halfWidth / Math.sqrt(3)

/**
 * The same where places near the middle are likelier than near the limits.
 *
 * @see GUM (JCGM 100:2008), 4.3.9
 */
export const triangular = (halfWidth: number): number => halfWidth / Math.sqrt(6)

/**
 * The same for a value that swings between the limits, as a temperature under a thermostat does (arcsine, U-shaped).
 *
 * @see GUM (JCGM 100:2008), H.1.3.4
 */
export const swinging = (halfWidth: number): number => halfWidth / Math.SQRT2

/**
 * Degrees of freedom that stand for how well a standard uncertainty is itself known.
 *
 * @param relative how far off the standard uncertainty may be, relative: 0.25 for a quarter
 * @returns Infinity when it is known exactly
 * @see GUM (JCGM 100:2008), G.4.2
 */
export const degreesOfFreedomOf = (relative: number): number => 0.5 / relative ** 2
