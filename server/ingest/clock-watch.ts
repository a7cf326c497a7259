import { formatDuration } from '../../core/format.js'
import { aheadAllowed } from './time.js'

/** ms; what sensors have said within this time counts */
const recent = 60_000

interface ClockWatch {
  /** @param ahead ms; by how much the time that a sensor sent is ahead of the service's clock */
  heard(sensor: string, ahead: number): void
  /** @returns what is wrong and what to do; null when nothing speaks against the clock; undefined while nothing is heard */
  look(): string | null | undefined
}

/**
 * Notices a clock of the service that is behind: readings that bear the right time then seem to come from the future, and
 * are refused. One sensor of many may be wrong itself; where most are, it is the service.
 *
 * @param steady ms; a clock that never jumps
 */
export const createClockWatch = (steady: () => number = () => performance.now()): ClockWatch => {
  /** by sensor, the newest; never more than the shop has sensors */
  const told = new Map<string, { ahead: number; at: number }>()
  return {
    heard(sensor, ahead) {
      const before = told.get(sensor)
      if (before) Object.assign(before, { ahead, at: steady() })
      else told.set(sensor, { ahead, at: steady() })
    },
    look() {
      const since = steady() - recent
      const ahead = [...told.values()].flatMap(each => (each.at >= since ? [each.ahead] : []))
      if (ahead.length === 0) return undefined
      const wrong = ahead.filter(each => each > aheadAllowed).sort((a, b) => a - b)
      if (2 * wrong.length <= ahead.length) return null
      const by = formatDuration(wrong[Math.floor(wrong.length / 2)]! / 1000)
      return (
        `The clock of this computer seems to be ${by} behind: ${wrong.length} of ${ahead.length} sensors that send times ` +
        'are ahead of it by more than a minute. Their readings are refused, counted as "time in the future", and lost. ' +
        'Set the clock, and check the time service of this computer.'
      )
    },
  }
}
