/** @returns bytes in use once what is garbage has been collected: only those can be compared */
export const heapInUse = (): number => {
  if (!globalThis.gc) throw new Error('run with --expose-gc: name the file among those that measure the heap')
  globalThis.gc()
  return process.memoryUsage().heapUsed
}
