import { z } from 'zod'
import { time } from '../quantities.js'
import { identified } from './identify.js'

/** what was identified, with whose and of when it is */
export const identification = identified
  .extend({
    id: z.number(),
    machine: z.string(),
    node: z.string(),
    at: time.describe('ms since 1970 UTC; when it was identified'),
    from: time.describe('ms since 1970 UTC; the history it came from'),
    to: time,
    follows: z.string().describe('id of the node that it follows, as configured'),
    bestAir: z.string().describe('what explains it best of all that was compared, in words'),
    advantage: z.number().describe('log-likelihood by which that is better than what is configured; 0 when it is that'),
    sensors: z.string().describe('the sensors it came from, so that a change of them is noticed'),
    accepted: z.boolean().describe('used instead of the configured time constant; otherwise `refusal` says why not'),
  })
  .meta({ id: 'Identification' })
/** A time constant identified from a node's history: stored as a fact, dated and never rewritten. */
export type Identification = z.infer<typeof identification>

/**
 * The identification a node's forecasts use: the newest accepted one from the sensors it has now. A later one that was
 * refused because the history told too little (weeks of steady air) leaves it standing; one that contradicted the model
 * does not.
 *
 * @param found   of one node, newest first
 * @param sensors that the node and what it follows have now, as in `Identification.sensors`
 * @returns null when the configured time constant holds
 */
export const identificationInUse = (found: readonly Identification[], sensors: string): Identification | null => {
  for (const each of found) {
    if (each.sensors !== sensors) return null
    if (each.accepted) return each
    if (!each.tooLittle) return null
  }
  return null
}
