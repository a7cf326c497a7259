/** A stretch of time: from <= t < to, ms. */
export interface Span {
  from: number
  to: number
}

/** Spans in order of time, those joined that have less than so many ms between them. */
export const joinedSpans = (spans: readonly Span[], gap: number): Span[] => {
  const joined: Span[] = []
  for (const { from, to } of [...spans].sort((a, b) => a.from - b.from)) {
    const last = joined.at(-1)
    if (last && from - last.to < gap) last.to = Math.max(last.to, to)
    else joined.push({ from, to })
  }
  return joined
}
