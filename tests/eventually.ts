import { vi } from 'vitest'
import { patience } from './patience.js'

/**
 * Waits until something holds.
 *
 * @param what throws as long as it does not hold
 */
export const eventually = <T>(what: () => T | Promise<T>, interval = 20): Promise<T> =>
  vi.waitFor(what, { timeout: patience, interval })

/** Asks until the answer is right. @throws Error with the last answer when it takes too long */
export const until = async <T>(look: () => Promise<T> | T, right: (found: T) => boolean): Promise<T> => {
  const from = performance.now()
  for (;;) {
    const found = await look()
    if (right(found)) return found
    if (performance.now() - from > patience)
      throw new Error(`not within ${patience} ms; last: ${JSON.stringify(found)}`)
    await new Promise(resolve => setTimeout(resolve, 25))
  }
}
