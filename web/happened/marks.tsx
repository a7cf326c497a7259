import type { Mark, WorkChange } from '../../core/happened/index.js'

/** what stands at a moment of a picture over time: what was done, found or changed */
type MarkKind = Exclude<Mark['kind'], 'work change' | 'offset'> | 'correction' | WorkChange['kind'] | 'lot'

export const markShapes: Record<MarkKind, string> = {
  datum: 'M-6 -6H6L0 6z',
  factors: 'M-6 6H6L0 -6z',
  correction: 'M-6 6H6L0 -6z',
  alignment: 'M-5 -5H5V5H-5z',
  decision: 'M0 -7L6 0L0 7L-6 0z',
  trust: 'M-6 -4L-4 -6L0 -2L4 -6L6 -4L2 0L6 4L4 6L0 2L-4 6L-6 4L-2 0z',
  tool: 'M-6 -6H6V-3H1.5V6H-1.5V-3H-6z',
  offset: 'M-6 6V0H-1V-6H6V-3H2V3H-3V6z',
  'set-up': 'M-6 6V2H-3V-2H0V-6H6V6z',
  shift: 'M-6 -6L6 0L-6 6z',
  lot: 'M-5 -5H5V5H-5z',
}
export const markWords: Record<MarkKind, string> = {
  datum: 'datum',
  factors: 'correction',
  correction: 'correction',
  alignment: 'alignment check',
  decision: 'decision',
  trust: 'sensor doubted or believed again',
  tool: 'other tool',
  offset: 'offset changed',
  'set-up': 'other set-up',
  shift: 'other shift',
  lot: 'other lot',
}

export const kindOf = (mark: Mark): MarkKind =>
  mark.kind === 'work change' ? mark.change.kind : mark.kind === 'offset' ? 'correction' : mark.kind

/** What the marks of a picture mean. */
export const MarkKey = ({ kinds }: { kinds: readonly MarkKind[] }) => (
  <span class="flow mark-key">
    {kinds.map(kind => (
      <span key={kind}>
        <svg viewBox="-8 -8 16 16" aria-hidden="true">
          <path class="track-mark" d={markShapes[kind]} />
        </svg>{' '}
        {markWords[kind]}
      </span>
    ))}
  </span>
)
