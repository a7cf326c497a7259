/** Why a value cannot be believed, in words; null when nothing speaks against it. */
export type Doubt = string | null

/**
 * Values that a device sends instead of a temperature: a common digital sensor reports 85 °C after power-on before its
 * first conversion, and its driver libraries −127 °C when it is disconnected. Common practice, no source.
 */
const faultCodes: readonly { value: number; means: string }[] = [
  { value: 85, means: "85 °C is the sensor's power-on value: it restarted before measuring" },
  { value: -127, means: '−127 °C is the code for a disconnected sensor' },
]

/**
 * Device fault codes.
 *
 * @param value °C as measured
 */
export const faultCode = (value: number): Doubt => faultCodes.find(code => code.value === value)?.means ?? null

/**
 * Plausible range of a place.
 *
 * @param value °C
 * @param lowest °C
 * @param highest °C
 */
export const outOfRange = (value: number, lowest: number, highest: number): Doubt =>
  value >= lowest && value <= highest ? null : `${value.toFixed(1)} °C is outside ${lowest} to ${highest} °C`
