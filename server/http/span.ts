import { z } from 'zod'
import type { Span } from '../history/span.js'
import { Refused } from './refused.js'

const moment = z.coerce.number('must be a whole number: ms since 1970 UTC').int().min(0).max(8.64e15)

/** the stretch of time asked for; from <= t < to */
export const spanQuery = {
  from: moment.optional().describe('ms since 1970 UTC, included; a stretch before `to` when absent'),
  to: moment.optional().describe('ms since 1970 UTC, not included; now when absent'),
}

export const pointsQuery = {
  points: z.coerce
    .number('must be a whole number')
    .int()
    .min(10)
    .max(5000)
    .default(500)
    .describe(
      'least number of points a series should have, where the readings allow it; never more than twice as many',
    ),
}

/** units of the sentences in an answer; its numbers are always SI */
export const unitsQuery = {
  units: z.enum(['metric', 'inch', 'tenths']).optional().describe("of sentences; the shop's if not given"),
}

/**
 * @param asked  ms, as in the request
 * @param now    ms
 * @param length ms, of the span when `from` is not given
 */
export const spanOf = (asked: { from?: number; to?: number }, now: number, length: number): Span => {
  const to = asked.to ?? Math.max(now, (asked.from ?? 0) + 1)
  const from = asked.from ?? Math.max(0, to - length)
  if (from < to) return { from, to }
  throw new Refused(
    400,
    `The span ends (to=${to}) before it begins (from=${from}).`,
    'query "from" and "to"',
    'Give two times in ms since 1970 UTC, "from" before "to".',
  )
}

export const hour = 3_600_000
export const day = 24 * hour
