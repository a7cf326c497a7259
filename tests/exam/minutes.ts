import type { Reading } from '../../server/ingest/reading.js'
import type { Series, SeriesPoint } from '../../server/store/store.js'

/** ms */
const minute = 60_000

/** What sensors told, as minutes: as the service's store answers with them. */
export class Minutes {
  private readonly bySensor = new Map<string, SeriesPoint[]>()

  take(readings: readonly Reading[]): void {
    for (const { sensor, at, value } of readings) {
      const points = this.bySensor.get(sensor) ?? []
      this.bySensor.set(sensor, points)
      const begin = Math.floor(at / minute) * minute
      const last = points.at(-1)
      if (last?.at !== begin) points.push({ at: begin, count: 1, mean: value, min: value, max: value })
      else {
        last.count++
        last.mean += (value - last.mean) / last.count
        last.min = Math.min(last.min, value)
        last.max = Math.max(last.max, value)
      }
    }
  }

  series(sensor: string, from: number, to: number): Series {
    const all = this.bySensor.get(sensor) ?? []
    const first = (moment: number) => {
      let [low, high] = [0, all.length]
      while (low < high) {
        const middle = (low + high) >> 1
        if (all[middle]!.at < moment) low = middle + 1
        else high = middle
      }
      return low
    }
    return { level: 'minute', points: all.slice(first(from), first(to)) }
  }
}
