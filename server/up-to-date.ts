/** Work that is looked after again and again, never twice at once. */
export interface UpToDate {
  /** looks now for what is due, unless that is under way. @returns when it is done */
  look(): Promise<void>
  /** looks in so many ms, or when it would anyway if that is sooner */
  lookIn(ms: number): void
  /** looks no more. @returns when what is under way is done */
  stop(): Promise<void>
}

/**
 * Does what is due: a while after the start, then every so often.
 *
 * @param every  ms; after the end of one look the next one begins
 * @param first  ms; so long after the start the first one does
 * @param ready  false while a history is filled in: nothing is done
 * @param work   does what is due
 * @param failed is told what it failed with, unless that is because all is stopped; it is done again at the next look
 */
export const keptUpToDate = (
  { every, first = every }: { every: number; first?: number },
  ready: () => boolean,
  work: () => Promise<void>,
  failed: (error: unknown) => void,
): UpToDate => {
  let running: Promise<void> | null = null
  let timer: NodeJS.Timeout | undefined
  /** ms, by a clock that nobody sets */
  let next = Number.POSITIVE_INFINITY
  let stopped = false
  const lookIn = (ms: number) => {
    const at = performance.now() + ms
    if (stopped || at >= next) return
    next = at
    clearTimeout(timer)
    timer = setTimeout(() => {
      next = Number.POSITIVE_INFINITY
      void look()
    }, ms)
    timer.unref()
  }
  const look = (): Promise<void> => {
    if (stopped) return running ?? Promise.resolve()
    running ??= (ready() ? work() : Promise.resolve())
      .catch(error => {
        if (!stopped) failed(error)
      })
      .finally(() => {
        running = null
        lookIn(every)
      })
    return running
  }
  lookIn(first)
  return {
    look,
    lookIn,
    stop() {
      stopped = true
      clearTimeout(timer)
      return running ?? Promise.resolve()
    },
  }
}
