import type { VerdictChange } from '../core/state.js'
import { factRecorder } from './fact-recorder.js'
import type { Logger } from './log.js'
import type { Monitor } from './monitor/index.js'
import type { FactEntry } from './store/fact-kinds.js'
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
  const recorder = <Kind extends 'verdict' | 'trust' | 'fit by'>(kind: Kind, what: string) =>
    factRecorder<FactEntry<Kind>>(found => facts.record(kind, found), what, log)
  const verdictsFound = recorder('verdict', 'verdicts')
  const trustFound = recorder('trust', 'what was found about sensors')
  const fitBysFound = recorder('fit by', 'what became of the times found for "fit by"')
  monitor.onChange(({ verdicts, trust, fitBys }) => {
    void verdictsFound(verdicts.map(toldOf))
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
