import type { FitByOutcome, TrustChange, VerdictChange } from '../core/state.js'
import { factRecorder } from './fact-recorder.js'
import type { Logger } from './log.js'
import type { Monitor } from './monitor/index.js'
import type { Facts } from './store/facts.js'

/** A change as a fact: an index beyond all numbers is as good as none. */
const toldOf = (change: VerdictChange): VerdictChange => {
  const { thermalErrorIndex } = change
  return { ...change, thermalErrorIndex: Number.isFinite(thermalErrorIndex) ? thermalErrorIndex : null }
}

/**
 * Puts on record what the monitor finds by itself: verdicts, sensors that are not believed, what became of times named.
 *
 * @returns `suspects` records the sensors that are not believed as they are said now, for what is said of one may change
 *   with time; `stop` does so, and is done when all that waits is stored or could not be
 */
export const recordFound = (monitor: Monitor, facts: Pick<Facts, 'record'>, log: Logger) => {
  const verdictsFound = factRecorder(
    (changes: readonly VerdictChange[]) => facts.record('verdict', changes.map(toldOf)),
    'verdicts',
    log,
  )
  const trustFound = factRecorder(
    (changes: readonly TrustChange[]) => facts.record('trust', changes),
    'what was found about sensors',
    log,
  )
  const fitBysFound = factRecorder(
    (outcomes: readonly FitByOutcome[]) => facts.record('fit by', outcomes),
    'what became of the times found for "fit by"',
    log,
  )
  monitor.onChange(({ verdicts, trust, fitBys }) => {
    void verdictsFound(verdicts)
    void fitBysFound(fitBys)
    void trustFound(trust)
  })
  const suspects = () => trustFound(monitor.suspects())
  return {
    suspects,
    async stop() {
      await suspects()
      await fitBysFound([])
      await verdictsFound([])
    },
  }
}
