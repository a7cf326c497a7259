import { Contents } from '../../../server/recording/contents.js'
import { readRecording } from '../../../server/recording/read.js'
import type { ReadingOptions } from '../../../server/recording/rows.js'
import { sensorLookup } from '../../../server/recording/sensor-names.js'
import { shop } from '../http/fakes.js'

/** a reading without its sensor's whole description */
export interface Found {
  sensor: string
  at: number
  value: number
}

/** bytes in pieces of that size, as a file or a network hands them out */
export async function* inPieces(bytes: Uint8Array, size: number): AsyncGenerator<Uint8Array> {
  for (let start = 0; start < bytes.length; start += size) yield bytes.subarray(start, start + size)
}

/** all readings of a recording, and what is said about it */
export const recorded = async (
  text: string | Uint8Array,
  options: Partial<ReadingOptions> = {},
  pieces = 64 * 1024,
): Promise<{ readings: Found[]; contents: Contents }> => {
  const contents = new Contents()
  const bytes = typeof text === 'string' ? new TextEncoder().encode(text) : text
  const readings: Found[] = []
  const whole = { lookup: sensorLookup(shop.sensors), zone: shop.timeZone, ...options }
  for await (const group of readRecording(() => inPieces(bytes, pieces), whole, contents))
    for (const { sensor, at, value } of group) readings.push({ sensor: sensor.id, at, value })
  return { readings, contents }
}
