import type { DecisionRule } from '../shop.js'
import { normalQuantile } from '../statistics/index.js'

/**
 * How many standard uncertainties inside a limit a value must lie so that it conforms with a probability: a guard band on
 * one side.
 *
 * @param probability 0.5..1
 * @see ISO 14253-1:2017 (whose default is 95 %); JCGM 106:2012, 7.2 and 8.3
 */
export const coverageOf = (probability: number): number => normalQuantile(probability)

/** Where the shop file says nothing. */
export const defaultDecisionRule: DecisionRule = { coverage: 2 }
