import type { IdentifyOptions } from '../../../core/settling/identify.js'
import { identifying } from '../../../core/settling/index.js'

/** What a generator returns, all its steps done at once. */
export const finished = <T>(steps: Generator<void, T>): T => {
  for (;;) {
    const step = steps.next()
    if (step.done) return step.value
  }
}

/** `identifying` at once. */
export const identifyTimeConstant = (
  times: ArrayLike<number>,
  node: ArrayLike<number>,
  surroundings: ArrayLike<number>,
  options: IdentifyOptions = {},
) => finished(identifying(times, node, surroundings, options))
