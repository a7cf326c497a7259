import type { CutSides } from '../inspection/index.js'
import type { PredictedError } from './answer.js'

/** An axis and the part on the machine at a moment, as far as the size of a feature depends on them. */
export interface AxisAt {
  /** m; growth where the work is held, against the reference temperature */
  growth: number
  /** m; what of it is bending */
  tilt: number
  /** m/m; growth of what measures the position */
  perMetre: number
  /** °C */
  part: number
}

/** How sure that is: variances, of which each feature takes its own mixture. */
export interface AxisVariances {
  /** 1/m², 1/m·m, m²: of how sensors stand for their places, by size, by both, by position */
  placement: { size: number; both: number; position: number }
  /** 1/m²; of the sensors' calibration, by size: what is read twice has the same error twice */
  calibration: number
  /** K, standard; of the part's temperature */
  part: number
  /** relative, standard; of the expansion of what measures and carries */
  expansion: number
}

/** What is cut, and how the axis makes it. */
export interface Making {
  /** m */
  length: number
  /** 1/K; of the part, and its relative standard uncertainty */
  alpha: number
  alphaUncertainty: number
  /** 1: a longer axis makes it larger; −1: smaller */
  sign: 1 | -1
  /** how often a shift of the zero counts in the size */
  times: 0 | 1 | 2
  /** °C; at which sizes hold */
  reference: number
}

/** How often a shift of the zero counts in a size that is cut so. */
export const timesOf = (cut: CutSides): 0 | 1 | 2 => (cut === 'both sides' ? 0 : cut === 'diameter' ? 2 : 1)

/** What the size counts from. */
export interface ZeroAt extends AxisAt {
  /** a first part was measured then and the size corrected by what it was off */
  firstPart: boolean
}

/**
 * What heat alone makes of a size: the scale of the axis and the part away from the reference temperature, or from where
 * both were at a first part; and the shift of the zero since it was set. Positive = larger.
 *
 * @param zero null: zeroed anew for each part
 * @returns m, with the standard uncertainty (GUM 5.1)
 * @see ISO 1:2022; JCGM 100:2008 (GUM), 5.1
 */
export const predictedError = (
  { length, alpha, alphaUncertainty, sign, times, reference }: Making,
  now: AxisAt,
  zero: ZeroAt | null,
  variances: AxisVariances,
): PredictedError => {
  const base = zero?.firstPart ? zero : { perMetre: 0, part: reference }
  const scale = sign * length * (now.perMetre - base.perMetre)
  const part = length * alpha * (now.part - base.part)
  const shift = (of: 'growth' | 'tilt') => (zero ? sign * times * (now[of] - zero[of]) : 0)
  const drift = shift('growth')
  const { placement, calibration, expansion } = variances
  const position = zero ? times : 0
  const variance =
    (length * alpha * variances.part) ** 2 +
    (part * alphaUncertainty) ** 2 +
    ((scale + drift) * expansion) ** 2 +
    length ** 2 * placement.size +
    2 * length * position * placement.both +
    position ** 2 * placement.position +
    (zero?.firstPart ? 0 : length ** 2 * calibration)
  return {
    error: scale - part + drift,
    sizeError: scale - part,
    drift,
    tilt: shift('tilt'),
    uncertainty: Math.sqrt(variance),
  }
}
