import type { Identified } from './identify.js'

/** A time constant identified from a node's history: stored as a fact, dated and never rewritten. */
export interface Identification extends Identified {
  id: number
  machine: string
  node: string
  /** ms; when it was identified */
  at: number
  /** ms; the history it was identified from */
  from: number
  to: number
  /** id of the node that it follows, as configured */
  follows: string
  /** what explains it best of all that was compared, in words ("air at the machine", "Hall air middle") */
  bestAir: string
  /** by how much that explains it better than what is configured: difference of log-likelihoods, 0 when it is that */
  advantage: number
  /** the sensors it came from, so that a change of them is noticed */
  sensors: string
  /** the monitor uses it; otherwise the configured prior stays, and `refusal` says why */
  accepted: boolean
}

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
