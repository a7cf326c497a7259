import type { Check } from './check.js'
import { growthChecks } from './growth.js'
import { settlingChecks } from './settling.js'
import { toleranceChecks } from './tolerances.js'

/** Every check against the outside, in the order `npm run verify` prints it. */
export const allChecks = (): { title: string; checks: Check[] }[] => [
  { title: 'Growth', checks: growthChecks() },
  { title: 'Settling', checks: settlingChecks() },
  { title: 'Standard tolerances', checks: toleranceChecks() },
]
