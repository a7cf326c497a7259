import type { Database } from 'better-sqlite3'
import type { Readings } from './block.js'
import type { Blocks } from './blocks.js'
import type { Journal } from './journal.js'
import { beginOf, day, hour } from './keys.js'
import { type Newest, newestTable } from './newest.js'
import { joined } from './readings-of.js'
import { addedUp, minuteWidth, quarterHourWidth, summarised, withoutRounding } from './summaries.js'
import { everySensor, type Progress, type Tail } from './tail.js'
import { type HourSlots, Unsealed } from './unsealed.js'

/** ms; work done in one transaction, so that a group of readings waits little longer than its own commit */
const usualSlice = 8
/** ms after the end of an hour; most of its late readings have come by then */
const grace = 300_000
/** a round begins before the hour is over when so many readings wait, and so many more for each sensor */
const mostWaiting = 100_000
const mostWaitingEach = 40
/** groups deleted from the journal at once */
const groupsRemoved = 50

export interface Sealing {
  /**
   * Does a slice of what is due: some ms of work and one commit.
   *
   * @param now ms; hours that have ended by then are due
   * @returns true when more is due
   */
  sealSome(now: number): boolean
  /** all that is there, also of the hour that goes on */
  sealAll(): void
  /** true when far more is waiting than a round should take in: nobody calls `sealSome`, or not often enough */
  behind(): boolean
}

export interface SealedState {
  blocks: Blocks
  journal: Journal
  tail: Tail
  newest: Newest
}

/**
 * Moves readings from the journal into blocks. A round takes in the journal as it is, goes through its sensors and their
 * hours in slices, and then deletes what it took in. Each slice commits blocks, summaries and how far the round has come
 * together, so that a process killed in between goes on from there: nothing is lost and nothing counted twice.
 */
export const createSealing = (db: Database, state: SealedState, sliceTime = usualSlice): Sealing => {
  const { blocks, journal, tail, newest } = state
  const setProgress = db.prepare<[number, number, number]>('UPDATE sealing SET through = ?, sensor = ?, hour = ?')
  const putNewest = newestTable(db).put
  /** hours of the sensor the round is at, and which of them comes next */
  let waiting: { sensor: number; hours: HourSlots[]; next: number } | null = null
  /** groups that are sealed may still be in the journal */
  let emptying = true

  const due = (now: number): boolean => {
    const { current } = tail
    if (current.size === 0) return false
    if (current.size >= mostWaiting + mostWaitingEach * current.sensors) return true
    return beginOf(now - grace, hour) > current.firstArrival
  }

  const sealHour = (sensor: number, begin: number, fresh: Readings): void => {
    const today = beginOf(begin, day)
    // read before any is put: what is damaged is made anew from what is finer, which must not hold the fresh ones yet
    const before = blocks.readings(sensor, begin)
    const minutes = addedUp(blocks.minutes(sensor, begin), summarised(fresh, minuteWidth))
    const quarterHours = addedUp(blocks.quarterHours(sensor, today, today + day), summarised(fresh, quarterHourWidth))
    blocks.putReadings(sensor, begin, before ? joined(before, fresh) : fresh)
    blocks.putMinutes(sensor, begin, withoutRounding(minutes))
    blocks.putQuarterHours(sensor, today, withoutRounding(quarterHours))
  }

  /** seals the next sensor's hour; @returns how far the round is then */
  const step = (round: Unsealed, progress: Progress): Progress => {
    let { sensor } = progress
    let from = progress.hour + hour
    for (;;) {
      if (waiting?.sensor !== sensor) {
        const first = from
        waiting = { sensor, hours: round.hoursOf(sensor).filter(({ begin }) => begin >= first), next: 0 }
      }
      const found = waiting.hours[waiting.next]
      if (found) {
        waiting.next += 1
        sealHour(sensor, found.begin, round.at(found.slots))
        if (waiting.next === waiting.hours.length) putNewest(sensor, newest.bytes(sensor))
        return { ...progress, sensor, hour: found.begin }
      }
      const next = round.nextSensor(sensor + 1)
      if (next === undefined) return { ...progress, sensor: everySensor, hour: 0 }
      sensor = next
      from = 0
    }
  }

  /** as often as there is time, inside one transaction; `work` says whether there is more */
  const slice = (work: () => boolean): boolean =>
    db
      .transaction(() => {
        const until = performance.now() + sliceTime
        let more: boolean
        do more = work()
        while (more && performance.now() < until)
        return more
      })
      .immediate()

  const sealRound = (round: Unsealed): void => {
    let { progress } = tail
    try {
      slice(() => {
        progress = step(round, progress)
        setProgress.run(progress.through, progress.sensor, progress.hour)
        return progress.sensor !== everySensor
      })
    } catch (error) {
      waiting = null
      throw error
    }
    tail.progress = progress
    blocks.changed()
    if (progress.sensor !== everySensor) return
    tail.round = null
    waiting = null
    emptying = true
  }

  const beginRound = (): void => {
    tail.round = tail.current
    tail.current = new Unsealed()
    tail.progress = { through: journal.last(), sensor: 0, hour: 0 }
  }

  const removeSealed = (): void => {
    emptying = slice(() => journal.remove(tail.progress.through, groupsRemoved) === groupsRemoved)
  }

  const work = (): void => {
    if (tail.round) sealRound(tail.round)
    else if (emptying) removeSealed()
  }

  const busy = (): boolean => tail.round !== null || emptying

  return {
    sealSome(now) {
      if (!busy() && due(now)) beginRound()
      work()
      return busy() || due(now)
    },
    sealAll() {
      while (busy() || tail.current.size > 0) {
        if (!busy()) beginRound()
        work()
      }
    },
    behind: () => tail.size > 4 * (mostWaiting + mostWaitingEach * tail.current.sensors),
  }
}
