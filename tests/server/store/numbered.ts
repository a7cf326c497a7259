import type { Reading } from '../../../server/ingest/reading.js'

export const sensorCount = 23
export const start = Date.UTC(2024, 0, 15)

/** Readings that can be told by their number; every 50th comes two hours late, into an hour that may be sealed. */
export const readingNumber = (number: number): Reading => {
  const late = number % 50 === 49 ? 7_200_000 : 0
  const at = start + 7_200_000 + number * 500 - late + (late > 0 ? 1 : 0)
  return { sensor: `s${number % sensorCount}`, at, value: (number % 9000) / 16, receivedAt: at + late + 30 }
}
