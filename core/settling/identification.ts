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
