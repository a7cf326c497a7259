import { setTimeout as pause } from 'node:timers/promises'
import { within } from './cleaning.js'
import { withLiveService } from './live.js'
import { storedMetric } from './service.js'

/** bytes */
interface Memory {
  resident: number
  heap: number
}

export interface MemoryCourse {
  /** after a tenth of the time, at most a minute: what the start leaves behind is gone by then */
  early: Memory
  atEnd: Memory
  mostResident: number
  /** bytes of heap a minute in the second half: slope of the straight line through the lowest of each half minute */
  heapGrowth: number
  /** readings */
  published: number
  stored: number
}

const slopePerMinute = (seen: readonly { at: number; bytes: number }[]): number => {
  const mean = (of: (s: { at: number; bytes: number }) => number) =>
    seen.reduce((sum, s) => sum + of(s), 0) / seen.length
  const [at, bytes] = [mean(s => s.at), mean(s => s.bytes)]
  const above = seen.reduce((sum, s) => sum + (s.at - at) * (s.bytes - bytes), 0)
  return (60_000 * above) / seen.reduce((sum, s) => sum + (s.at - at) ** 2, 0)
}

/** Between two collections the heap rises and falls; what is kept shows at its lowest. */
const lowest = (seen: readonly { at: number; heap: number }[]): { at: number; bytes: number }[] => {
  const found = new Map<number, { at: number; bytes: number }>()
  for (const { at, heap } of seen) {
    const window = Math.floor(at / 30_000)
    const before = found.get(window)
    if (!before || heap < before.bytes) found.set(window, { at, bytes: heap })
  }
  return [...found.values()]
}

const heapMetric = 'nodejs_heap_size_used_bytes'

/** Memory of the service under a steady load, with five pages listening. */
export const memoryUnderLoad = (
  sensors: number,
  rate: number,
  seconds: number,
  progress: (part: number) => void,
): Promise<MemoryCourse> =>
  withLiveService(sensors, async (service, publish) => {
    const begun = Date.now()
    const seen: { at: number; resident: number; heap: number }[] = []
    let failed: unknown
    const watching = setInterval(() => {
      const at = Date.now() - begun
      progress(Math.min(1, at / 1000 / seconds))
      service.metric(heapMetric).then(
        heap => seen.push({ at, resident: service.resident(), heap }),
        (error: unknown) => {
          failed ??= error
        },
      )
    }, 1000)
    let published = 0
    try {
      published = await within(2000 * seconds + 60_000, 'readings are published', publish(rate, seconds))
    } finally {
      clearInterval(watching)
    }
    if (failed) throw failed
    let stored = await service.metric(storedMetric)
    for (let n = 0; stored < published && n < 20; n++) {
      await pause(500)
      stored = await service.metric(storedMetric)
    }
    const early = seen[Math.min(59, Math.floor(seen.length / 10))]!
    return {
      early,
      atEnd: seen.at(-1)!,
      mostResident: Math.max(...seen.map(s => s.resident)),
      heapGrowth: slopePerMinute(lowest(seen.slice(seen.length >> 1))),
      published,
      stored,
    }
  })
