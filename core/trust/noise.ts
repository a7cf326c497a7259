import type { SensorFault } from '../reason.js'
import { beyondHabit, type Habit } from './habit.js'

// Judgement, no source, held against healthy machines and rooms of the test bed.
/** 0..1; part of the roughness that is kept at each reading: it remembers some twenty of them */
const kept = 0.95
/** K; a roughness that disturbs nobody; and what is taken for the roughest day while too few days are known */
const least = 0.3
const unknown = 0.5
/** factor on the roughest that it was on any day */
const rougher = 2.5

/** K; how far readings usually lie off the straight line between their neighbours. @param before, between, after °C */
export const roughnessAfter = (roughness: number, before: number, between: number, after: number): number => {
  const off = Math.abs(between - (before + after) / 2)
  return Number.isNaN(off) ? roughness : kept * roughness + (1 - kept) * off
}

/** Readings that jump about as they never did: a loose contact, a cable beside a drive. @param roughness K */
export const noisy = (roughness: number, habit: Habit): SensorFault | null =>
  roughness > Math.max(least, beyondHabit(habit, rougher, unknown)) ? { kind: 'noisy', by: roughness } : null
