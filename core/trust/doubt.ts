/** Why a sensor cannot be believed, and what to do about it, both in words. */
export interface Doubt {
  reason: string
  remedy: string
}

/** What a sensor measures, as far as it decides what can be true of it. */
export type PlaceKind = 'body' | 'air' | 'coolant' | 'source' | 'outdoors'
