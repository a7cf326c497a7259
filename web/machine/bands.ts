import type { Verdict, VerdictChange } from '../../core/state.js'

/** A verdict and how long it stood, within the span shown. ms */
export interface Band {
  verdict: Verdict
  from: number
  to: number
}

/**
 * Verdict changes of one work class as stretches of a span.
 *
 * @param changes in order of time; those before the span tell what stood at its beginning
 * @param until   ms; end of what is known (now), at most the span's end
 */
export const verdictBands = (
  changes: readonly Pick<VerdictChange, 'at' | 'verdict'>[],
  from: number,
  until: number,
): Band[] => {
  const bands: Band[] = []
  changes.forEach(({ at, verdict }, i) => {
    const end = Math.min(changes[i + 1]?.at ?? until, until)
    const begin = Math.max(at, from)
    if (end <= begin) return
    const last = bands.at(-1)
    if (last?.verdict === verdict && last.to === begin) last.to = end
    else bands.push({ verdict, from: begin, to: end })
  })
  return bands
}

/** how long each verdict stood, as parts of what is known */
export const verdictShares = (bands: readonly Band[]): { verdict: Verdict; part: number }[] => {
  const total = bands.reduce((sum, b) => sum + b.to - b.from, 0)
  const order: Verdict[] = ['fit', 'settling', 'unfit', 'unknown']
  return order
    .map(verdict => ({
      verdict,
      part: bands.filter(b => b.verdict === verdict).reduce((sum, b) => sum + b.to - b.from, 0) / (total || 1),
    }))
    .filter(s => s.part > 0)
}
