/** What one sensor measured over a period. */
export interface SensorSeries {
  /** ms, in order */
  times: ArrayLike<number>
  /** °C, readings or means of a few, as many as times; what is not finite is left out */
  values: ArrayLike<number>
  /** K; the step its readings move in, where it is known better than from the values; 0 where nothing tells it */
  step?: number
}

/** Mean of the readings in each of so many equal parts of a period (ms); null when one has none. °C */
export const blockMeans = (
  { times, values }: SensorSeries,
  from: number,
  to: number,
  blocks: number,
): number[] | null => {
  const sums = new Array<number>(blocks).fill(0)
  const counts = new Array<number>(blocks).fill(0)
  for (let i = 0; i < times.length; i++) {
    const time = times[i]!
    if (time < from || time >= to || !Number.isFinite(values[i]!)) continue
    const block = Math.min(blocks - 1, Math.floor(((time - from) / (to - from)) * blocks))
    sums[block]! += values[i]!
    counts[block]! += 1
  }
  return counts.every(count => count > 0) ? sums.map((sum, block) => sum / counts[block]!) : null
}
