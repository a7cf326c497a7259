/** What has to be ended and deleted whatever happens: processes and temporary folders. */
const left = new Set<() => Promise<void>>()

/** @returns does it now, once; then it is no longer due when the bench ends */
export const cleaned = (clean: () => Promise<void> | void): (() => Promise<void>) => {
  const once = async () => {
    if (left.delete(once)) await clean()
  }
  left.add(once)
  return once
}

/** What a part that was given up has left, too. */
export const cleanAll = async (): Promise<void> => {
  // the last begun is the first to go, as each may stand on those before it
  for (const clean of [...left].reverse())
    await clean().catch((error: unknown) => console.error('not cleaned up:', error))
}

/** Ctrl-C and the like leave nothing behind. */
export const cleanWhenStopped = (): void => {
  for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP'] as const)
    process.once(signal, () => {
      console.error(`stopped by ${signal}`)
      cleanAll().finally(() => process.exit(1))
    })
}

/**
 * @param ms after which it is given up
 * @param what for the error: "the service has stored 3 readings"
 */
export const within = async <T>(ms: number, what: string, work: Promise<T>): Promise<T> => {
  let timer: NodeJS.Timeout | undefined
  const tooLong = new Promise<never>((_, reject) => {
    timer = setTimeout(() => reject(new Error(`given up after ${ms / 1000} s: ${what}`)), ms)
  })
  try {
    return await Promise.race([work, tooLong])
  } finally {
    clearTimeout(timer)
  }
}
