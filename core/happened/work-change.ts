import { z } from 'zod'
import { metres, signature, time } from '../quantities.js'

/** What the shop changed that can move sizes by itself. */
export const workChangeKind = z.enum(['tool', 'offset', 'set-up', 'shift'])

/** A change that somebody made at a machine and entered: a tool, an offset, a set-up, or whose shift began. */
export const workChange = z
  .object({
    id: z.number(),
    machine: z.string().describe('id'),
    kind: workChangeKind,
    at: time.describe('ms since 1970 UTC; when it was done'),
    what: z.string().max(200).describe('which tool, which set-up, whose shift; empty: not said'),
    axis: z.string().nullable().describe('id; of an offset: which sizes it moves; null: all'),
    larger: metres.nullable().describe('m; of an offset: parts became larger by it, smaller where it is below 0'),
    enteredAt: time,
    ...signature,
  })
  .meta({ id: 'WorkChange' })
export type WorkChange = z.infer<typeof workChange>

/**
 * What offset changes made of a size by a moment: a step at each of them.
 *
 * @param axis id of the one that makes the size; null: not known, so that only offsets of all axes count
 * @param at   ms
 * @returns m
 */
export const offsetBy = (changes: readonly WorkChange[], axis: string | null, at: number): number =>
  changes.reduce(
    (sum, change) =>
      change.kind === 'offset' && change.at <= at && (change.axis === null || change.axis === axis)
        ? sum + (change.larger ?? 0)
        : sum,
    0,
  )
