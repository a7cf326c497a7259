import type { DecisionRule } from '../shop.js'
import { normalQuantile } from '../statistics/index.js'

/**
 * How many standard uncertainties inside a limit a value must lie so that it conforms with a probability: a guard band on
 * one side.
 *
 * @param probability 0.5..1
 * @returns standard uncertainties, 0 or more
 * @see ISO 14253-1:2017 (whose default is 95 %); JCGM 106:2012, 7.2 and 8.3
 */
export const coverageOf = (probability: number): number => normalQuantile(probability)

/** Where the shop file says nothing: the default of ISO 14253-1:2017. */
export const defaultDecisionRule: DecisionRule = { coverage: coverageOf(0.95), probability: 0.95 }

/**
 * How many standard uncertainties more than the rule asks a machine must have to become fit: with the default rule two in all.
 * A machine that is fit stays so as long as the rule itself is kept, and for a moment also with as many fewer (one-sided
 * 90 %). So the deadband (IEC 62682) is as wide as the error is uncertain.
 */
export const toBecomeFit = 2 - defaultDecisionRule.coverage
