/** One reading as the service keeps it. */
export interface Reading {
  sensor: string
  /** ms since 1970, the sensor's own time (arrival when it sends none) */
  at: number
  /** °C as measured, before the sensor's offset; 1 or 0 for a state sensor */
  value: number
  /** ms since 1970, when the service received it */
  receivedAt: number
}

/** A message that could not be taken as a reading: counted by reason, a bounded number kept for inspection. */
export interface Refusal {
  at: number
  topic: string
  /** a fixed short phrase, so that it can be counted: "not a number", "time in the future", "unknown topic", … */
  reason: string
  /** the beginning of the payload, printable, at most 200 characters */
  sample: string
}
