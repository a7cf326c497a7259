import type { Settles } from './answer.js'
import { type HeatFinding, neededParts } from './was-it-heat.js'

/** 0..1; half width that the interval of the share is to get. Judgement, no source */
const wantedHalf = 0.2
/** parts; who would need more is better served by parts at two temperatures. Judgement, no source */
const mostMore = 300
/** standard normal; a difference is missed once in ten, and found by chance once in twenty */
const z = 1.645 + 1.282
const fewestAtEach = 6
/** parts; a standard deviation from ten pairs is known to a quarter of itself */
const pairs = 10

/**
 * What would settle what is open, most helpful first.
 *
 * @param clock  the times seem to be off
 * @param datums parts whose machine has no datum on record at their cut
 */
export const settlesOf = (found: HeatFinding, clock: boolean, datums: number): Settles[] => {
  const { conclusion, doubts, explained, parts, scatter, left, others } = found
  const list: Settles[] = []
  if (clock) list.push({ kind: 'times' })
  const isOpen = conclusion === 'cannot be told'
  const has = (kind: string) => doubts.some(doubt => doubt.kind === kind)
  if (datums > 0 && isOpen) list.push({ kind: 'datum' })
  const few = neededParts - parts
  if (few > 0) list.push({ kind: 'more parts', parts: few })
  // a standard deviation that is really large against nothing says nothing of how far states should lie apart
  const apart = scatter === null ? 0 : 2 * scatter
  if (
    (isOpen && parts >= 2 && apart > 0 && (has('too little movement') || has('half days') || has('chance'))) ||
    has('slope')
  )
    list.push({
      kind: 'two temperatures',
      parts: Math.max(fewestAtEach, Math.ceil(2 * ((z * Math.max(left ?? 0, scatter ?? 0)) / apart) ** 2)),
      apart,
    })
  if (few <= 0 && isOpen && explained?.low != null && explained.high !== null) {
    const half = (explained.high - explained.low) / 2
    const more = Math.ceil(parts * ((half / wantedHalf) ** 2 - 1))
    if (more > 0 && more <= mostMore) list.push({ kind: 'more parts', parts: more })
  }
  for (const { suspect, answer } of others) {
    if (doubts.some(doubt => doubt.kind === 'other explanation' && doubt.name === suspect))
      list.push({ kind: 'turn about', suspect })
    else if (conclusion !== 'most' && answer === 'not recorded' && (suspect === 'tool wear' || suspect === 'lot'))
      list.push({ kind: 'record', suspect })
  }
  if (conclusion !== 'most' && others.some(({ suspect, answer }) => suspect === 'gauge' && answer === 'not recorded'))
    list.push({ kind: 'measure twice', parts: pairs })
  return list
}
