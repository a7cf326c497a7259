/**
 * One-dimensional transient conduction after a step of the surroundings, as a sum of decaying shapes (separation of
 * variables; Incropera & DeWitt, chapter 5; Carslaw & Jaeger, from memory). Dimensionless: position by the size, time as the
 * Fourier number α·t/size², films as Biot numbers h·size/k.
 */

/** One decaying part of the remaining difference. */
export interface Mode {
  /** eigenvalue: it decays as e^(−ζ²·Fo) */
  zeta: number
  /** its share of the mean difference at the beginning; all shares sum to 1 */
  share: number
}

/** shapes that are summed: what is left out matters before a Fourier number of 0.0005 only */
const count = 24

/**
 * Bessel's integral, whose midpoint sum is exact to rounding because it is periodic; a quarter of the turn stands for all.
 */
const bessel = (order: 0 | 1, x: number): number => {
  const pieces = Math.ceil(x / 2) + 12
  let sum = 0
  for (let i = 0; i < pieces; i++) {
    const sine = Math.sin((Math.PI * (i + 0.5)) / (2 * pieces))
    sum += order === 0 ? Math.cos(x * sine) : Math.sin(x * sine) * sine
  }
  return sum / pieces
}

/** Root between two values of unlike sign, by false position that never holds an end for long (the Illinois rule). */
const rootBetween = (of: (x: number) => number, from: number, to: number): number => {
  let [a, b, atA, atB] = [from, to, of(from), of(to)]
  for (let i = 0; i < 60 && Math.abs(b - a) > 1e-13 * b; i++) {
    const next = b - (atB * (b - a)) / (atB - atA)
    const atNext = of(next)
    if (atNext === 0) return next
    if (atNext < 0 === atB < 0) atA /= 2
    else [a, atA] = [b, atB]
    ;[b, atB] = [next, atNext]
  }
  return b
}

/** The first roots above 0 of a function that is negative at 0 and whose roots are further apart than the stride. */
const roots = (of: (zeta: number) => number): number[] => {
  const stride = 0.4
  const found: number[] = []
  let [from, below] = [0, true]
  while (found.length < count) {
    const to = from + stride
    if (of(to) < 0 !== below) {
      found.push(rootBetween(of, from, to))
      below = !below
    }
    from = to
  }
  return found
}

const sinc = (x: number) => (x === 0 ? 1 : Math.sin(x) / x)

/** One decaying part of a slab's remaining difference, with its shape across the slab. */
export interface SlabMode extends Mode {
  /** the shape's value by its norm, at a position from 0 (near face) to 1 (far face) */
  at: (place: number) => number
}

/**
 * A slab whose two faces meet films of their own; the size is its whole thickness.
 *
 * @param near Biot number at the near face, 0 when it is insulated
 * @param far  Biot number at the far face; not both 0
 */
export const slabModes = (near: number, far: number): SlabMode[] =>
  roots(zeta => (zeta ** 2 - near * far) * sinc(zeta) - (near + far) * Math.cos(zeta)).map(zeta => {
    const slope = near / zeta
    const shape = (place: number) => Math.cos(zeta * place) + slope * Math.sin(zeta * place)
    const integral = sinc(zeta) + (slope * (1 - Math.cos(zeta))) / zeta
    const wave = sinc(2 * zeta)
    const norm = (1 + wave + slope ** 2 * (1 - wave)) / 2 + slope * Math.sin(zeta) * sinc(zeta)
    return { zeta, share: integral ** 2 / norm, at: place => (integral / norm) * shape(place) }
  })

/** A long cylinder; the size is its radius. @param biot h·radius/k */
export const cylinderModes = (biot: number): Mode[] =>
  roots(zeta => zeta * bessel(1, zeta) - biot * bessel(0, zeta)).map(zeta => ({
    zeta,
    share: (4 * biot ** 2) / (zeta ** 2 * (zeta ** 2 + biot ** 2)),
  }))

/** A ball; the size is its radius. @param biot h·radius/k */
export const ballModes = (biot: number): Mode[] =>
  roots(zeta => (1 - biot) * sinc(zeta) - Math.cos(zeta)).map(zeta => ({
    zeta,
    share: (6 * biot ** 2) / (zeta ** 2 * (zeta ** 2 + biot ** 2 - biot)),
  }))

/** Mean difference still to come, as a part of the step. @param fourier α·t/size² */
export const meanLeft = (modes: readonly Mode[], fourier: number): number =>
  modes.reduce((sum, { zeta, share }) => sum + share * Math.exp(-(zeta ** 2) * fourier), 0)
