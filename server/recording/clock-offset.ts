import { IANAZone } from 'luxon'
import { isThermometer, type Sensor } from '../../core/shop.js'
import type { RecordingPreview } from '../http/schemas/recording.js'
import type { Store } from '../store/store.js'
import { Turn } from '../turns.js'
import type { RecordedReading } from './contents.js'

const minute = 60_000
const quarter = 15 * minute
const day = 86_400_000
/** sensors of a recording that are compared, and quarter hours of each */
const mostSensors = 4
const mostQuarters = 20_000
/** ms before and after a change of the clocks that are compared */
const around = 4 * day
/** quarter hours that file and stored readings must have in common */
const fewest = 24
/** K; where the air hardly moved nothing can be told */
const leastMovement = 0.15
/** how much better readings must agree when they are shifted */
const better = 0.6

interface Mean {
  sum: number
  count: number
}
type Means = Map<number, number>

/** Why the times of a recording seem to be of a clock that knows no summer time: from when on, and by which sensors. */
export type ClockOffset = NonNullable<RecordingPreview['clockOffset']>

/** "+01:00" */
export const offsetText = (minutes: number): string => {
  const two = (n: number) => String(Math.floor(n)).padStart(2, '0')
  return `${minutes < 0 ? '-' : '+'}${two(Math.abs(minutes) / 60)}:${two(Math.abs(minutes) % 60)}`
}

/** ms; moments between two times at which the clocks of a zone are set */
export const changesOf = (zone: string, from: number, to: number): number[] => {
  const of = IANAZone.create(zone)
  const found: number[] = []
  for (let begin = from; begin < to; begin += day) {
    let [low, high] = [begin, Math.min(begin + day, to)]
    if (of.offset(low) === of.offset(high)) continue
    while (high - low > minute) {
      const middle = Math.floor((low + high) / 2)
      if (of.offset(middle) === of.offset(low)) low = middle
      else high = middle
    }
    found.push(high - (high % minute))
  }
  return found
}

const spread = (values: readonly number[]): number => {
  const mean = values.reduce((sum, value) => sum + value, 0) / values.length
  return Math.sqrt(values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / values.length)
}

/** Quarter-hour means of some sensors of a recording, to be compared with what is stored of the same places. */
export class ClockComparison {
  private readonly means = new Map<Sensor, Map<number, Mean>>()

  take({ sensor, at, value }: RecordedReading): void {
    if (!isThermometer(sensor)) return
    let means = this.means.get(sensor)
    if (!means) {
      if (this.means.size >= mostSensors) return
      means = new Map()
      this.means.set(sensor, means)
    }
    const begin = at - (at % quarter)
    const mean = means.get(begin)
    if (mean) {
      mean.sum += value
      mean.count += 1
    } else if (means.size < mostQuarters) means.set(begin, { sum: value, count: 1 })
  }

  /**
   * Compares the recording, whose times were read as those of `zone`, with readings that are stored.
   *
   * @returns null where they agree, or nothing can be told
   */
  async offset(store: Pick<Store, 'series'>, sensors: readonly Sensor[], zone: string): Promise<ClockOffset | null> {
    const turn = new Turn()
    for (const [sensor, sums] of this.means) {
      const times = [...sums.keys()].sort((a, b) => a - b)
      const [from, to] = [times[0]!, times.at(-1)! + quarter]
      const changes = changesOf(zone, from, to)
      const cuts = [Math.max(from, to - around), ...changes.flatMap(at => [at, Math.max(from, at - around)])]
      const place = JSON.stringify(sensor.at)
      const beside = sensors.filter(other => isThermometer(other) && JSON.stringify(other.at) === place)
      for (const other of beside) {
        const votes: { begin: number; lag: number; minutes: number }[] = []
        for (const begin of [...new Set(cuts)].sort((a, b) => a - b)) {
          if (turn.isOver) await turn.next()
          const next = changes.find(at => at > begin) ?? to
          const lag = await this.lag(sums, store, other.id, begin, Math.min(begin + around, next, to))
          if (lag !== null) votes.push({ begin, lag, minutes: IANAZone.create(zone).offset(begin) - lag })
        }
        const late = votes.find(vote => vote.lag !== 0)
        if (late && votes.every(vote => vote.minutes === late.minutes))
          return { offset: offsetText(late.minutes), from: late.begin, sensor: sensor.id, with: other.id }
      }
    }
    return null
  }

  /** @returns minutes by which the file is too early: 60, 0 or -60; null when that cannot be told */
  private async lag(
    sums: ReadonlyMap<number, Mean>,
    store: Pick<Store, 'series'>,
    other: string,
    from: number,
    to: number,
  ): Promise<number | null> {
    const stored: Means = new Map()
    const counts = new Map<number, number>()
    const { points } = await store.series(
      other,
      from - 2 * 4 * quarter,
      to + 2 * 4 * quarter,
      (2 * (to - from)) / quarter,
    )
    for (const { at, mean, count } of points) {
      const begin = at - (at % quarter)
      const before = counts.get(begin) ?? 0
      stored.set(begin, ((stored.get(begin) ?? 0) * before + mean * count) / (before + count))
      counts.set(begin, before + count)
    }
    const differs = (shift: number): number => {
      const differences: number[] = []
      for (const [at, { sum, count }] of sums) {
        const there = at >= from && at < to ? stored.get(at + shift * minute) : undefined
        if (there !== undefined) differences.push(sum / count - there)
      }
      return differences.length < fewest ? Number.NaN : spread(differences)
    }
    const moved = spread([...stored.values()])
    const [asRead, later, earlier] = [differs(0), differs(60), differs(-60)]
    if (!(moved > leastMovement) || Number.isNaN(asRead)) return null
    if (later < better * asRead && later < earlier) return 60
    if (earlier < better * asRead && earlier < later) return -60
    return asRead < better * later && asRead < better * earlier ? 0 : null
  }
}
