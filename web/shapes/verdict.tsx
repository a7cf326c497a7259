import type { Verdict } from '../../core/state.js'

/**
 * One shape a verdict, all made from the same block: whole, settling towards its base, broken in two, not there.
 * They differ in outline, so that they can be told apart from afar and without colour.
 */
const outlines: Record<Verdict, string> = {
  fit: 'M4 1h16a3 3 0 0 1 3 3v16a3 3 0 0 1-3 3H4a3 3 0 0 1-3-3V4a3 3 0 0 1 3-3z',
  settling: 'M1 1h6v22H1zM9 10h6v13H9zM17 17h6v6h-6z',
  unfit: 'M1 0h12L8 16H1zM16 8h7v16H11z',
  unknown: 'M0 0h9v4H4v5H0zM15 0h9v9h-4V4h-5zM24 15v9h-9v-4h5v-5zM0 15h4v5h5v4H0z',
}

export const VerdictShape = ({ verdict }: { verdict: Verdict }) => (
  <svg class="shape" viewBox="0 0 24 24" aria-hidden="true">
    <path d={outlines[verdict]} fill="currentColor" />
  </svg>
)

export const verdictWords: Record<Verdict, string> = {
  fit: 'Fit',
  settling: 'Settling',
  unfit: 'Unfit',
  unknown: 'Unknown',
}

/** word and shape on their plate */
export const VerdictMark = ({ verdict, word }: { verdict: Verdict; word?: string }) => (
  <span class={`verdict is-${verdict}`}>
    <VerdictShape verdict={verdict} />
    <span>{word ?? verdictWords[verdict]}</span>
  </span>
)
