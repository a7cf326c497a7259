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

/** part of the history of one identification by which the next must be later to tell how they scatter. Judgement */
const renewed = 0.5

/**
 * How identifications of one node scatter.
 *
 * Two whose histories have a part in common share what disturbed them there: the variance of their difference is twice
 * their own, times the part that is not common.
 *
 * @param found accepted ones, newest first
 * @returns relative, standard; 0 while there are no two of sufficiently different histories
 */
const scatterOf = (found: readonly Identification[]): number => {
  const apart: Identification[] = []
  for (const each of found) {
    const before = apart.at(-1)
    if (!before || before.to - each.to >= renewed * (each.to - each.from)) apart.push(each)
  }
  let [squares, weights] = [0, 0]
  apart.forEach((a, i) => {
    for (const b of apart.slice(i + 1)) {
      squares += Math.log(a.timeConstant! / b.timeConstant!) ** 2
      weights += 2 * Math.min(1, (a.to - b.to) / (a.to - a.from))
    }
  })
  return weights > 0 ? Math.sqrt(squares / weights) : 0
}

/**
 * The identification a node's forecasts use: the newest accepted one from the sensors it has now. A later one that was
 * refused because the history told too little (weeks of steady air) leaves it standing; one that contradicted the model
 * does not.
 *
 * Its uncertainty is at least what accepted ones before it scatter by: each fit knows only its own fortnight, and what
 * disturbs the next may be of another kind. Where there is none before it, its own stands: in invented shops identifications
 * of separate weeks differ by less than they state.
 *
 * @param found   of one node, newest first
 * @param sensors that the node and what it follows have now, as in `Identification.sensors`
 * @returns null when the configured time constant holds
 */
export const identificationInUse = (found: readonly Identification[], sensors: string): Identification | null => {
  const use = found.findIndex(each => each.sensors !== sensors || each.accepted || !each.tooLittle)
  const used = found[use]
  if (!used?.accepted || used.sensors !== sensors) return null
  const replaced = found.findIndex(each => each.sensors !== sensors)
  const alike = found.slice(use, replaced < 0 ? undefined : replaced).filter(each => each.accepted)
  return { ...used, uncertainty: used.uncertainty && Math.max(used.uncertainty, scatterOf(alike)) }
}
