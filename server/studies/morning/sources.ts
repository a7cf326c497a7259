import type { Sensor } from '../../../core/shop.js'
import type { Past, Span } from '../../history/index.js'

const minute = 60_000
/** ms; a state that was told so long before is still known where its sensor speaks up only when it changes */
const before = 6 * 60 * minute

/** How long a told state stands when nothing follows, ms: three of the intervals in which its sensor should report. */
const stands = ({ interval }: Sensor): number => Math.max(5 * minute, 3000 * interval)

const joined = (spans: Span[]): Span[] => {
  const all: Span[] = []
  for (const { from, to } of spans.sort((a, b) => a.from - b.from)) {
    const last = all.at(-1)
    if (last && from <= last.to) last.to = Math.max(last.to, to)
    else all.push({ from, to })
  }
  return all
}

/**
 * When a source was open or running, to the minute where it reports often.
 *
 * @param sensors that tell its state; it is active when one of them says so
 * @returns null where nothing was told of it
 */
export const activeSpans = async (
  { store }: Past,
  sensors: readonly Sensor[],
  { from, to }: Span,
): Promise<Span[] | null> => {
  const spans: Span[] = []
  let told = false
  for (const sensor of sensors) {
    // minutes where most of them are known, single readings where they are few
    const { points, level } = await store.series(sensor.id, from - before, to, (to - from + before) / (2 * minute))
    told ||= points.length > 0
    const width = level === 'reading' ? 0 : minute
    points.forEach(({ at, mean }, i) => {
      if (mean < 0.5) return
      const end = Math.min(points[i + 1]?.at ?? to, at + width + stands(sensor), to)
      if (end > from) spans.push({ from: Math.max(at, from), to: end })
    })
  }
  return told ? joined(spans) : null
}
