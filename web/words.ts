import { type Reader, type Sentence, sayCommonCause, sayReason, sayRemedy } from '../core/sentences/index.js'
import type { Machine } from '../core/shop.js'
import type { CommonCause, FitByRecord, Reason, Remedy } from '../core/state.js'

const units = /(\d) (?=(?:µm|mm|m|in|°C|°F|K|%|min|h|s|d)(?![a-z]))/g

const axes = /\b([A-Z]) (?=[+−])/g

/** What a chart of an axis' own growth shows: of one that reads a diameter, half of what the diameter changes by. */
export const atTheWork = ({ axes }: Machine, id: string): string =>
  `${id} at the work${axes.find(axis => axis.id === id)?.readsDiameter ? ', on the radius' : ''}`

/** keeps numbers on one line with their units, and with the axis they are of */
export const unbroken = (text: string): string => text.replace(units, '$1\u00a0').replace(axes, '$1\u00a0')

const unbrokenIn = ({ text, more }: Sentence): Sentence => ({ text: unbroken(text), more: unbroken(more) })

/** A reason as sentences, in the units of the page. */
export const reasonInWords = (reason: Reason, reader: Reader): Sentence => unbrokenIn(sayReason(reason, reader))

/** What to do about a verdict, likewise. */
export const remedyInWords = (remedy: Remedy, reader: Reader): Sentence => unbrokenIn(sayRemedy(remedy, reader))

/** What most machines have in common that are not fit, likewise. */
export const commonCauseInWords = (cause: CommonCause, reader: Reader): Sentence =>
  unbrokenIn(sayCommonCause(cause, reader))

/** "Of the last 30 times found for this work here, 27 came true." */
export const recordInWords = ({ kept, of }: FitByRecord): string =>
  of === 1
    ? `The one time found for this work here before ${kept === 1 ? 'came true' : 'did not come true'}.`
    : `Of the last ${of} times found for this work here, ${kept} came true.`

/** "1 row", "3 rows" */
export const counted = (count: number, one: string, many = `${one}s`): string => `${count} ${count === 1 ? one : many}`
