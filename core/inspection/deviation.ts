import type { Material } from '../shop.js'
import type { Inspection } from './inspection.js'

/** K, standard; of the temperature of a part that was measured, where nothing is said. Judgement, no source */
const usualUncertainty = 1

/** What a part's deviation is at the reference temperature. */
export interface Deviation {
  /** m; measured less nominal */
  value: number
  /** m, standard; of bringing it to the reference temperature alone */
  uncertainty: number
  /** the part was not at the reference temperature, and nobody says what it was measured with */
  gaugeUnsaid: boolean
}

/**
 * The deviation at the reference temperature of a part that was measured at another one.
 *
 * A gauge that holds at the reference temperature reads all that the part has grown; one as warm as the part grows with
 * it, and only the difference is read. Where it is not said what was measured with, it lies anywhere between a gauge that
 * grows like the part and one that does not grow: the middle, with half of the width ÷ √3.
 *
 * @param part  what the part is made of
 * @param gauge what it was measured with; 'held': its reading holds at the reference temperature; null: not said
 * @see ISO 1:2022; JCGM 100:2008 (GUM), 4.3.7
 */
export const deviationAt = (
  { measured, nominal, temperature, temperatureUncertainty }: Inspection,
  part: Material,
  gauge: Material | 'held' | null,
  reference: number,
): Deviation => {
  const value = measured - nominal
  if (temperature === null) return { value, uncertainty: 0, gaugeUnsaid: false }
  const rise = temperature - reference
  const grown = nominal * part.alpha * rise
  const ofRise = temperatureUncertainty ?? usualUncertainty
  const ofPart = grown * part.alphaUncertainty
  if (gauge === null)
    return {
      value: value - grown / 2,
      uncertainty: Math.hypot(grown / 2 / Math.sqrt(3), (nominal * part.alpha * ofRise) / 2),
      gaugeUnsaid: true,
    }
  const own = gauge === 'held' ? { alpha: 0, alphaUncertainty: 0 } : gauge
  return {
    value: value - nominal * (part.alpha - own.alpha) * rise,
    uncertainty: Math.hypot(
      ofPart,
      nominal * own.alpha * rise * own.alphaUncertainty,
      nominal * (part.alpha - own.alpha) * ofRise,
    ),
    gaugeUnsaid: false,
  }
}
