import type { Source } from '../shop.js'

/** What was measured in a shop over a stretch of time, as means over even intervals; NaN where nothing is known. */
export interface Courses {
  /** ms; where the first interval begins */
  from: number
  /** s; of an interval */
  spacing: number
  length: number
  /** places in the air and in coolants: what the model tells the course of */
  places: Place[]
  /** °C; null: nothing measures it */
  outdoors: Float64Array | null
  sources: SourceCourse[]
  /** hours since midnight by the shop's clock, 0 to 24, in the middle of each interval */
  hour: Float64Array
  /** 0 Monday … 6 Sunday, by the shop's clock */
  weekday: Uint8Array
  /** 1 on days with a shift, else 0 */
  works: Uint8Array
}

/** A place whose temperature the model tells. */
export interface Place {
  /** a sensor's id for a place in the shop's air, machine/node for a node of a machine */
  id: string
  kind: 'shop air' | 'machine air' | 'coolant'
  /** id of the machine it is at; null for the shop's air */
  machine: string | null
  temperature: Float64Array
}

/** What is known of a door, vent or heat source. */
export interface SourceCourse extends Pick<Source, 'id' | 'name' | 'kind'> {
  /** 0..1; part of each interval in which it was open or running; null: no sensor tells */
  state: Float64Array | null
  /** °C of the air beside it; null: no sensor there */
  beside: Float64Array | null
}

/** Straight lines between the hours of a day: a column for each of the 24 on days with a shift, then of those on others. */
export const weekColumns = ({ hour, works, length }: Pick<Courses, 'hour' | 'works' | 'length'>): Float64Array[] => {
  const columns = Array.from({ length: 48 }, () => new Float64Array(length))
  for (let i = 0; i < length; i++) {
    const first = Math.floor(hour[i]!) % 24
    const on = hour[i]! - Math.floor(hour[i]!)
    const kind = works[i] ? 0 : 24
    columns[kind + first]![i]! += 1 - on
    columns[kind + ((first + 1) % 24)]![i]! += on
  }
  return columns
}
