import type { Sensor } from '../../../core/shop.js'
import { joinedSpans, type Past, type Span, toldStates } from '../../history/index.js'
import type { Beliefs } from '../records/intervals.js'

const minute = 60_000
/** ms; a state that was told so long before is still known where its sensor speaks up only when it changes */
export const lookBack = 6 * 60 * minute

/** How long a told state stands when nothing follows, ms: three of the intervals in which its sensor should report. */
const stands = ({ interval }: Sensor): number => Math.max(5 * minute, 3000 * interval)

/**
 * When a source was open or running, to the minute where it reports often, as it was believed: see `toldStates`.
 *
 * @param beliefs that reach back to `lookBack` before the span
 * @param sensors that tell its state; it is active when one of them says so
 * @returns null where nothing that was believed was told of it
 */
export const activeSpans = async (
  { store }: Past,
  { doubted }: Pick<Beliefs, 'doubted'>,
  sensors: readonly Sensor[],
  { from, to }: Span,
): Promise<Span[] | null> => {
  const spans: Span[] = []
  let told = false
  for (const sensor of sensors) {
    // minutes where most of them are known, single readings where they are few
    const { points, level } = await store.series(sensor.id, from - lookBack, to, (to - from + lookBack) / (2 * minute))
    const width = level === 'reading' ? 0 : minute
    const states = toldStates(points, doubted(sensor.id), width + stands(sensor))
    told ||= states.length > 0
    for (const state of states)
      if (state.value >= 0.5 && state.to > from)
        spans.push({ from: Math.max(state.from, from), to: Math.min(state.to, to) })
  }
  return told ? joinedSpans(spans, 1) : null
}
