import jstat from 'jstat'
import { uniformFloat64 } from 'pure-rand/distribution/uniformFloat64'
import { mersenne } from 'pure-rand/generator/mersenne'
import { assess, type Outlook } from '../../core/judge/index.js'
import type { WorkClass } from '../../core/shop.js'
import { jobs } from '../core/judge/jobs.js'
import { nominalError, unknowns } from '../core/judge/propagation.js'
import type { Check } from './check.js'

const { jStat } = jstat

const trials = 20_000
/** part of the standard uncertainties within which the job's error is a straight line, as the budget takes it */
const part = 0.05

/** Spread of a job's error, m, when all that is uncertain about it is drawn from normal distributions. */
const drawn = (outlook: Outlook, work: WorkClass, seed: number): number => {
  const random = mersenne(seed)
  const of = unknowns(outlook, work)
  const errors = new Float64Array(trials)
  for (let n = 0; n < trials; n++) {
    const { sizeError, drift } = nominalError(
      outlook,
      work,
      of,
      of.map(
        ({ standardUncertainty }) =>
          part * standardUncertainty * jStat.normal.inv(Math.max(uniformFloat64(random), Number.MIN_VALUE), 0, 1),
      ),
    )
    errors[n] = Math.abs(sizeError) + Math.abs(drift)
  }
  const middle = errors.reduce((sum, each) => sum + each, 0) / trials
  return Math.sqrt(errors.reduce((sum, each) => sum + (each - middle) ** 2, 0) / (trials - 1)) / part
}

/** The budget of a job against random draws of all that it is uncertain by (JCGM 101, from memory). */
export const drawnChecks = (): Check[] =>
  Object.entries(jobs).map(([name, { outlook, work }], i) => {
    const { uncertainty } = assess(outlook, work).axes[0]!
    const published = drawn(outlook, work, i + 1)
    return {
      item: `${name}: standard uncertainty of the job’s error`,
      source: `${trials / 1000},000 draws (JCGM 101), pure-rand and jstat; allowed: four standard errors`,
      unit: 'µm',
      published: published * 1e6,
      computed: (uncertainty / 2) * 1e6,
      allowed: ((4 * published) / Math.sqrt(2 * trials)) * 1e6,
    }
  })
