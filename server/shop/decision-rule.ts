import { coverageOf } from '../../core/judge/index.js'
import type { DecisionRule } from '../../core/shop.js'
import { inWords, type Reader } from './section.js'

/** Below this, more than one in five of what is just accepted would not conform. Judgement, no source */
const leastProbability = 0.8
const mostCoverage = 4

/** How far inside the share an error must lie: `one-sided 95 %`, `99 %` or `k = 2`. */
export const decisionRule: Reader<DecisionRule> = raw => {
  const written = typeof raw === 'string' ? raw.trim() : ''
  const byProbability = /^(?:one-sided )?(\d{1,2}(?:\.\d{1,4})?) ?%$/.exec(written)
  const byFactor = /^k ?= ?(\d(?:\.\d{1,4})?)$/.exec(written)
  const probability = byProbability && Number(byProbability[1]) / 100
  const coverage = probability ? coverageOf(probability) : byFactor ? Number(byFactor[1]) : Number.NaN
  if (coverage >= coverageOf(leastProbability) && coverage <= mostCoverage)
    return { value: { coverage, ...(probability && { probability }) } }
  return {
    problem: `${inWords(raw)} is not a decision rule`,
    remedy: 'write one-sided 95 % (ISO 14253-1), k = 2, or another probability from 80 % on',
  }
}
