import type { Sequence } from '../recording/replaying.js'

/** ms of the wall clock; what has not arrived so long after it was due never will: it was refused */
const patience = 10_000
/** readings from which it is told how often a sensor reports */
const looked = 20_000
/** ms of the wall clock between two looks at what has arrived */
const everySoOften = 20

/** ms; half of the time that usually lies between two readings of a sensor: one that is so late is not missed */
const lateness = ({ of, at }: Pick<Sequence, 'of' | 'at'>): number => {
  const last = new Map<number, number>()
  const spacings: number[] = []
  for (const [i, sensor] of of.slice(0, looked).entries()) {
    const before = last.get(sensor)
    if (before !== undefined) spacings.push(at[i]! - before)
    last.set(sensor, at[i]!)
  }
  return (spacings.sort((a, b) => a - b)[Math.floor(spacings.length / 2)] ?? 0) / 2
}

/**
 * The time of a recording that is lived again: so many times as fast as the wall clock, but hardly past a reading that has
 * not arrived yet. On a machine with too much to do time goes slower, and no sensor is late because of that.
 *
 * @param wall   ms; since any moment
 * @param latest ms; time of the newest reading that has arrived, by sensor
 * @returns what begins it, and its time: ms, the recording's first moment until it has begun, never going back
 */
export const replayClock = (
  { sensors, of, at }: Pick<Sequence, 'of' | 'at'> & { sensors: readonly { id: string }[] },
  speed: number,
  wall: () => number,
  latest: () => ReadonlyMap<string, number>,
): { begin: () => void; now: () => number } => {
  const [from, to] = [at[0]!, at.at(-1)!]
  const ahead = lateness({ of, at })
  let begun: number | null = null
  let arrived: ReadonlyMap<string, number> = new Map()
  let lookedAt = Number.NEGATIVE_INFINITY
  /** place of the first reading that is waited for, and ms of the wall clock since when that is so */
  let next = 0
  let since = 0
  /** of which nothing has arrived yet, or nothing any more since then, ms: not waited for until something does */
  const given = new Map<string, number>(sensors.map(({ id }) => [id, Number.NEGATIVE_INFINITY]))
  const lastOf = (id: string) => arrived.get(id) ?? Number.NEGATIVE_INFINITY
  const isThere = (i: number): boolean => {
    const { id } = sensors[of[i]!]!
    if (lastOf(id) > (given.get(id) ?? Number.POSITIVE_INFINITY)) given.delete(id)
    return given.has(id) || lastOf(id) >= at[i]!
  }
  const give = (id: string) => given.set(id, lastOf(id))
  return {
    begin: () => {
      begun = wall()
    },
    now: () => {
      if (begun === null) return from
      const here = wall()
      if (here >= lookedAt + everySoOften) {
        lookedAt = here
        arrived = latest()
        const before = next
        const due = (i: number) => begun! + (at[i]! - from) / speed
        while (next < at.length && here >= due(next) && isThere(next)) next++
        if (next > before) since = here
        else if (next < at.length && here > Math.max(since, due(next)) + patience) give(sensors[of[next]!]!.id)
      }
      return Math.floor(Math.min(to, (at[next] ?? to) + ahead, from + (here - begun) * speed))
    },
  }
}
