import type { Reader } from '../../core/sentences/index.js'
import type { ClassState, Reason } from '../../core/state.js'
import { remedyInWords } from '../words.js'

/** What keeps machines from being fit, in the few words that can be read from afar. */
export const causeOf = (reason: Reason): string => {
  if ('disturbance' in reason && reason.disturbance) return reason.disturbance.name
  switch (reason.kind) {
    case 'workpiece':
      return reason.rise < 0 ? 'cold parts' : 'warm parts'
    case 'growth':
      return reason.apart < 0 ? 'machine colder than the part' : 'machine warmer than the part'
    case 'drift':
    case 'bending':
      return reason.change < 0 ? 'machine cooling' : 'machine warming'
    case 'spindle':
      return 'spindle growth'
    case 'uncertainty':
      return 'not known well enough'
    case 'pretension':
      return 'pretension used up'
    case 'missing':
      return 'sensors missing'
    case 'zero':
      return 'no zero recorded'
    case 'waiting':
      return 'must hold a while yet'
    case 'restless':
      return 'too close to the limit'
    default:
      return 'other reasons'
  }
}

/**
 * Where many machines stand on the wall, a cause that several have is said once for all of them.
 *
 * @param states of all machines; undefined when nothing is known of one
 * @returns main causes of those that are not fit, and how many machines have each; the most frequent first
 */
export const mainCauses = (states: readonly (ClassState | undefined)[]): { cause: string; machines: number }[] => {
  const counts = new Map<string, number>()
  for (const state of states) {
    const main = state?.verdict === 'fit' ? undefined : state?.reasons.find(({ kind }) => kind !== 'calibration')
    if (main) counts.set(causeOf(main), (counts.get(causeOf(main)) ?? 0) + 1)
  }
  return [...counts].map(([cause, machines]) => ({ cause, machines })).sort((a, b) => b.machines - a.machines)
}

/** Where its cause is most machines' and stands at the top: what it does to this one, and what to do other than to wait. */
export const briefly = ({ remedy, reasons }: ClassState, reader: Reader): string => {
  const [main] = reasons.filter(({ kind }) => kind !== 'calibration').map(causeOf)
  const sentences = [
    ...(main ? [main.charAt(0).toUpperCase() + main.slice(1)] : []),
    ...(remedy && remedy.kind !== 'wait' ? [remedyInWords(remedy, reader).text] : []),
  ]
  return sentences.join('. ')
}
