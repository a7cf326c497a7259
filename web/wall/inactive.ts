import type { Source } from '../../core/shop.js'
import type { SourceState } from '../../core/state.js'

/** That nothing disturbs, as far as sensors tell of it: "Doors shut, heat sources off (1 of 3 known)". */
export const inactiveText = (sources: readonly Source[], states: readonly SourceState[]): string => {
  const parts = (['door', 'heat source'] as const).flatMap(kind => {
    const all = sources.filter(source => source.kind === kind)
    const known = all.filter(({ id }) => states.some(s => s.source === id && s.active !== null)).length
    if (all.length === 0) return []
    if (known === 0) return [`no sensor tells of ${kind}s`]
    return [
      `${kind}s ${kind === 'door' ? 'shut' : 'off'}${known < all.length ? ` (${known} of ${all.length} known)` : ''}`,
    ]
  })
  const text = parts.join(', ')
  return text.charAt(0).toUpperCase() + text.slice(1)
}
