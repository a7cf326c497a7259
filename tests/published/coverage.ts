import { identifyTimeConstant } from '../core/settling/identify-time-constant.js'
import { invented } from '../core/settling/shop-air.js'
import type { Check } from './check.js'

/**
 * Time constants recovered from invented nodes that follow invented air first order: how many lie within one and two of
 * their stated standard errors. Two hundred take most of a minute.
 */
export const coverageChecks = (seeds: number): Check[] => {
  const within = [0, 0]
  let found = 0
  for (let seed = 1; seed <= seeds; seed++) {
    // from half an hour to five
    const tau = 1800 * 10 ** ((seed - 1) / (seeds - 1))
    const { times, node, air } = invented(seed, { tau })
    const result = identifyTimeConstant(times, node, air)
    if (result.timeConstant === null || result.standardError === null) continue
    found++
    // the standard error is relative
    const off = Math.abs(result.timeConstant / tau - 1) / result.standardError
    if (off <= 1) within[0]!++
    if (off <= 2) within[1]!++
  }
  const row = (k: number, percent: number): Check => ({
    item: `time constants within ${k} standard error${k > 1 ? 's' : ''}, of ${found} found in ${seeds}`,
    source: 'normal distribution; allowed: three standard deviations of a binomial count',
    unit: '%',
    published: percent,
    computed: (100 * within[k - 1]!) / found,
    allowed: 3 * Math.sqrt((percent * (100 - percent)) / found),
  })
  return [row(1, 68.27), row(2, 95.45)]
}
