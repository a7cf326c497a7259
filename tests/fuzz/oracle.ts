/**
 * What a payload legitimately says, decided by plain and slow means of the oracle's own: a row that the decoder makes and
 * the oracle does not allow is a false row. It shares no code with the service.
 */

/** JSON, or undefined for what is none */
export const json = (text: string): unknown => {
  try {
    return JSON.parse(text)
  } catch {
    return undefined
  }
}

/** every number that a text may stand for: with a point, or with one comma for the point */
const numberOf = (raw: unknown): number => {
  if (typeof raw === 'number') return raw
  if (typeof raw !== 'string') return Number.NaN
  const text = raw.trim()
  if (text === '' || /[^0-9eE+\-.,]/.test(text)) return Number.NaN
  return Number(text.split(',').length === 2 && !text.includes('.') ? text.replace(',', '.') : text)
}

/** of the fuzzed shop, which has no sensor at a spindle */
export type Unit = '°C' | '°F' | 'K' | 'state'

const celsius = (number: number, unit: Unit): number => {
  if (unit === '°F') return ((number - 32) * 5) / 9
  return unit === 'K' ? number - 273.15 : number
}

/** of the first letter that follows the number, once degree signs are gone: the only units there are */
const unitBehind = (raw: unknown): { raw: unknown; unit?: Unit } => {
  if (typeof raw !== 'string') return { raw }
  const parts = /^(.*\d[.,]?)\s*[°º˚]?\s*(deg|degrees?|\[deg)?[. ]*([cfk℃℉])[a-z\]]*$/iu.exec(raw.trim())
  if (!parts) return { raw }
  const letter = parts[3]!.toLowerCase()
  const unit: Unit = letter === 'k' ? 'K' : letter === 'f' || letter === '℉' ? '°F' : '°C'
  return { raw: parts[1], unit }
}

const states: Record<string, number> = { open: 1, on: 1, true: 1, '1': 1, closed: 0, off: 0, false: 0, '0': 0 }

/** the unit of temperature that a message names by itself; undefined: none that there is */
export const unitNamed = (said: unknown): Unit | undefined =>
  typeof said === 'string' ? unitBehind(`0${said.replace(/\s/gu, '')}`).unit : undefined

/** a level in its own unit: a number, or text with that unit behind it; null when it cannot be within the bounds */
export const levelOf = (sent: unknown, unit: string, least: number, most: number): number | null => {
  const text = typeof sent === 'string' ? sent.trim() : sent
  const level = numberOf(
    typeof text === 'string' && text.endsWith(unit) ? text.slice(0, text.length - unit.length) : text,
  )
  return level >= least && level <= most ? level : null
}

/** whether a stored value can stand for what was sent */
export const mayStand = (stored: number, sent: unknown, unit: Unit, scale = 1): boolean => {
  if (unit === 'state') return states[String(sent).trim().toLowerCase()] === stored
  const own = unitBehind(sent)
  const expected = celsius(numberOf(own.raw) * scale, own.unit ?? unit)
  return expected >= -273.150001 && expected <= 10_000 && Math.abs(stored - expected) <= 1e-9 * (1 + Math.abs(expected))
}

/** whether a stored time, ms, can stand for what was sent: a number of s, ms, µs or ns, or a date with its zone */
export const mayBeAt = (stored: number, sent: unknown): boolean => {
  const number = numberOf(sent)
  if (!Number.isNaN(number)) return [1000, 1, 1e-3, 1e-6].some(factor => Math.abs(number * factor - stored) <= 0.51)
  if (typeof sent !== 'string' || !/(?:z|[+-]\d\d(?::?\d\d)?)$/i.test(sent.trim())) return false
  const full = sent
    .trim()
    .replace(',', '.')
    .replace(/\s(?=[\d+\-zZ])/g, (blank, place: number) => (place === 10 ? 'T' : blank.trim()))
    .replace(/([+-]\d\d)$/, '$1:00')
    .replace(/([+-]\d\d)(\d\d)$/, '$1:$2')
  return Math.abs(Date.parse(full.toUpperCase()) - stored) < 1
}
