import type { Check } from './check.js'
import { coverageChecks } from './coverage.js'
import { expansionChecks } from './expansion.js'
import { growthChecks } from './growth.js'
import { libraryChecks } from './libraries.js'
import { settlingChecks } from './settling.js'
import { simulatorChecks } from './simulator.js'
import { soakChecks } from './soak.js'
import { spindleChecks } from './spindle.js'
import { statisticsChecks } from './statistics.js'
import { toleranceChecks } from './tolerances.js'
import { uncertaintyChecks } from './uncertainty.js'

/**
 * Every check against the outside, in the order `npm run verify` prints it.
 *
 * @param recovered number of invented nodes whose time constants are looked for: what takes long
 */
export const allChecks = (recovered: number): { title: string; checks: Check[] }[] => [
  { title: 'Growth', checks: growthChecks() },
  { title: 'Settling', checks: settlingChecks() },
  { title: 'Soaking', checks: soakChecks() },
  { title: 'Coefficients of expansion', checks: expansionChecks() },
  { title: 'Standard tolerances', checks: toleranceChecks() },
  { title: 'Uncertainty', checks: uncertaintyChecks() },
  { title: 'Fits and statistics', checks: statisticsChecks() },
  { title: 'Fits of spindle growth', checks: spindleChecks() },
  { title: 'Against general-purpose libraries', checks: libraryChecks() },
  { title: 'The simulator’s heat conduction', checks: simulatorChecks() },
  { title: 'Time constants recovered', checks: coverageChecks(recovered) },
]
