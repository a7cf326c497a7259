import { vi } from 'vitest'

/**
 * Waits until something holds. A minute is patience for a machine that others use, and says nothing about how fast it
 * should be: that is for the bench.
 *
 * @param what throws as long as it does not hold
 */
export const eventually = <T>(what: () => T | Promise<T>, interval = 20): Promise<T> =>
  vi.waitFor(what, { timeout: 60_000, interval })
