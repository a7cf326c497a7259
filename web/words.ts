import type { UnitSystem } from '../core/format.js'
import type { Reason } from '../core/state.js'

const units = /(\d) (?=(?:µm|mm|m|in|°C|°F|K|%|min|h|s|d)(?![a-z]))/g

const axes = /\b([A-Z]) (?=[+−])/g

/** keeps numbers on one line with their units, and with the axis they are of */
export const unbroken = (text: string): string => text.replace(units, '$1\u00a0').replace(axes, '$1\u00a0')

/** A reason as a sentence of its own, in the units of the page. */
export const reasonText = (reason: Pick<Reason, 'text' | 'textInch'>, system: UnitSystem): string => {
  const text = system === 'inch' ? reason.textInch : reason.text
  return unbroken(text.charAt(0).toUpperCase() + text.slice(1))
}
