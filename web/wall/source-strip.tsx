import { formatShare, formatSince, formatTemperature } from '../../core/format.js'
import type { Sentence } from '../../core/sentences/index.js'
import type { Shop, Source } from '../../core/shop.js'
import type { ShopState, SourceState } from '../../core/state.js'
import { units } from '../preferences.js'
import { SourceShape } from '../shapes/source.js'
import { inactiveText } from './inactive.js'

const doing: Record<Source['kind'], string> = { door: 'open', vent: 'blowing', 'heat source': 'running' }

interface Active {
  source: Source
  state: SourceState
}

/** the sources known to disturb now, doors first, then those that began last */
export const activeSources = (sources: readonly Source[], states: readonly SourceState[]): Active[] => {
  const active: Active[] = []
  for (const source of sources) {
    const state = states.find(s => s.source === source.id)
    if (state?.active) active.push({ source, state })
  }
  const rank = ({ source }: Active) => (source.kind === 'door' ? 0 : 1)
  return active.sort((a, b) => rank(a) - rank(b) || (b.state.since ?? 0) - (a.state.since ?? 0))
}

/** how many are named; the rest are counted */
const named = 2

/** how many causes are told */
const told = 3

interface Props {
  shop: Shop
  /** null when nothing is known or believed */
  state: ShopState | null
  /** part of one */
  share: number
  now: number
  /** of what is not fit, where lanes do not say it themselves */
  causes: readonly { cause: string; machines: number }[]
  /** one cause of most, which then stands for all of them */
  common: Sentence | null
}

/** What disturbs the shop now: open doors, running heat sources, the weather; and what heat may take at most. */
export const SourceStrip = ({ shop, state, share, now, causes, common }: Props) => {
  const active = activeSources(shop.sources, state?.sources ?? [])
  return (
    <ul class="strip">
      <li class="strip-outdoors">Outdoors {formatTemperature(state?.outdoors ?? null, units.value)}</li>
      {active.slice(0, named).map(({ source, state: { since } }) => (
        <li key={source.id} class="strip-active">
          <SourceShape kind={source.kind} />
          <strong>
            <span class="source-name">{source.name}</span> <span>{doing[source.kind]}</span>
          </strong>
          {since !== null && <span>{formatSince(since, now, shop)}</span>}
        </li>
      ))}
      {active.length > named && <li>and {active.length - named} more</li>}
      {state && active.length === 0 && <li>{inactiveText(shop.sources, state.sources)}</li>}
      {common ? (
        <li class="strip-common">
          <strong>{common.text}.</strong> <span>{common.more}</span>
        </li>
      ) : causes.length > 0 ? (
        <li class="strip-causes">
          Not fit:
          {causes.slice(0, told).map(({ cause, machines }) => (
            <span key={cause}>
              <strong>{machines}</strong> {cause}
            </span>
          ))}
        </li>
      ) : (
        <li class="strip-share">Heat may take {formatShare(share)} of the tolerance</li>
      )}
    </ul>
  )
}
