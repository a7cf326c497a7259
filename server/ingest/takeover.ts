import type { ClosedBecause } from './connection.js'

/** closings by the broker within `window` ms that are taken for another program's doing */
const suspicious = 3
const window = 120_000
/** ms; it is over when the session has been left alone for this long */
const over = 600_000

interface TakeoverWatch {
  /** @returns whether another program has, by all we know, taken our session at the broker */
  closed(why: ClosedBecause): boolean
  stop(): void
}

/**
 * Notices when another program connects under our name, and so gets readings that were meant for us. A broker of MQTT 5
 * says so; another only closes the connection, again and again, since each of the two comes back.
 *
 * @param onTrouble what to say and do; null once it is over
 */
export const createTakeoverWatch = (
  { shown, clientId }: { shown: string; clientId: string },
  onTrouble: (why: string | null) => void,
): TakeoverWatch => {
  /** ms, a clock that never jumps */
  let closings: number[] = []
  let timer: NodeJS.Timeout | undefined
  return {
    closed({ takenOver, byBroker }) {
      if (byBroker) closings = [...closings.slice(1 - suspicious), performance.now()]
      const suspected = closings.length === suspicious && closings.at(-1)! - closings[0]! <= window
      if (!takenOver && !(byBroker && suspected)) return false
      clearTimeout(timer)
      timer = setTimeout(() => onTrouble(null), over)
      timer.unref()
      onTrouble(
        `Another program ${takenOver ? 'has connected' : 'seems to connect'} to the broker at ${shown} as ${clientId}, ` +
          'and takes readings away from this service. End the other one (a second service, a copy of this computer), or ' +
          'give one of them a name of its own in QUIET_IRON_MQTT_CLIENT_ID.',
      )
      return true
    },
    stop: () => clearTimeout(timer),
  }
}
