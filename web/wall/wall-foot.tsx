import { formatDuration } from '../../core/format.js'
import { wallScale } from '../charts/scale.js'
import { replayWords } from '../frame/replay-words.js'
import { units } from '../preferences.js'

/** ms → "2 s"; rounded so that it does not flicker */
const age = (now: number, newest: number): string => formatDuration(Math.max(0, Math.round((now - newest) / 1000)))

interface Props {
  now: number | null
  newest: number | null
  invented: boolean
  /** times as fast as it happened, when a recording is lived again */
  replay: number | undefined
  /** of the tolerance window, where there is one */
  withLegend: boolean
}

export const WallFoot = ({ now, newest, invented, replay, withLegend }: Props) => (
  <footer class="wall-foot">
    <p class="foot-age">
      {replay === undefined &&
        (now === null || newest === null ? 'No reading yet' : `Newest reading ${age(now, newest)} ago`)}
      {invented && <strong class="invented">Invented data</strong>}
      {replay !== undefined && <strong class="invented">{replayWords(replay)}</strong>}
    </p>
    {withLegend && (
      <ul class="flow legend" aria-label={`Legend; scale in ${wallScale[units.value].unit}`}>
        <li>
          <svg class="legend-shape" viewBox="0 0 40 24" aria-hidden="true">
            <rect class="zone" x="2" y="2" width="36" height="20" />
          </svg>
          tolerance
        </li>
        <li>
          <svg class="legend-shape" viewBox="0 0 40 24" aria-hidden="true">
            <rect class="grant" x="2" y="2" width="36" height="20" />
          </svg>
          granted to heat
        </li>
        <li>
          <svg class="legend-shape" viewBox="0 0 40 24" aria-hidden="true">
            <path class="whisker" d="M4 12H36M4 7V17M36 7V17" />
            <path class="run" d="M12 12H28" />
            <path class="bar" d="M20 2V22" />
          </svg>
          now, within the job, ± uncertainty
        </li>
        <li>
          <svg class="legend-shape is-narrow" viewBox="0 0 24 24" aria-hidden="true">
            <circle class="ring" cx="12" cy="12" r="7" />
          </svg>
          in an hour
        </li>
      </ul>
    )}
    <p class="foot-advice">Advice only: the machine builder’s instructions come first</p>
  </footer>
)
