/** ms; after the start, and then how often it is looked whether something is due */
const firstLook = 20_000
const every = 15 * 60_000

/** Work that is done again when it is due. */
export interface UpToDate {
  /** looks now, and from now on every so often, for what is due */
  look(): void
  stop(): void
}

/**
 * Does work a while after the start and then every so often, one after the other.
 *
 * @param ready false while a history is filled in: nothing is done
 * @param work  does what is due; must not fail
 */
export const keptUpToDate = (ready: () => boolean, work: (isStopped: () => boolean) => Promise<void>): UpToDate => {
  let running = false
  let timer: NodeJS.Timeout | undefined
  let stopped = false
  const again = (after: number) => {
    clearTimeout(timer)
    timer = setTimeout(() => void begin(), after)
    timer.unref()
  }
  const begin = async () => {
    if (stopped || running) return
    if (ready()) {
      running = true
      await work(() => stopped)
      running = false
    }
    if (!stopped) again(every)
  }
  again(firstLook)
  return {
    look: () => void begin(),
    stop() {
      stopped = true
      clearTimeout(timer)
    },
  }
}
