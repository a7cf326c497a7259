import type { FactKind } from '../../store/fact-kinds.js'

/** What the page asks first: all that was measured. */
export const investigationPath = '/api/investigation'

/** Whether an answer is worth keeping until something is recorded: a table of all parts is fetched once. */
export const investigationStands = (url: string): boolean =>
  (url === investigationPath || url.startsWith(`${investigationPath}?`)) && !url.includes('format=csv')

/** What an investigation stands on; verdicts and what is found of sensors hold from when they are recorded, after any cut. */
export const investigationFacts: readonly FactKind[] = [
  'inspection import ended',
  'inspection import taken back',
  'datum',
  'offset',
  'factors',
  'work change',
  'work change taken back',
]
