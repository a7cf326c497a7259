import type { OffsetChange } from '../state.js'

/**
 * The correction of a sensor that holds: that of the newest one accepted that was not taken back.
 *
 * @param changes of this sensor, in any order
 * @returns null when none holds, and the shop file's offset counts
 */
export const offsetInForce = (changes: readonly OffsetChange[]): OffsetChange | null => {
  const takenBack = new Set(changes.map(change => change.takesBack))
  const standing = changes.filter(change => change.takesBack === null && !takenBack.has(change.id))
  return standing.reduce<OffsetChange | null>((newest, each) => (newest && newest.id > each.id ? newest : each), null)
}
