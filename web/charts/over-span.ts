import { useAnswer } from '../answer.js'
import { ask, type Range } from '../api.js'
import { chartPoints, refreshEvery, type Span, spanAt } from './span.js'

/**
 * Asks for what a chart over a span draws, and again as the span moves on.
 *
 * @param address of the answer for a range
 */
export const useOverSpan = <T>(address: (range: Range) => string, span: Span, now: number) => {
  const { value, problem } = useAnswer(
    async signal => {
      const range = spanAt(span, now)
      return { range, answer: await ask<T>(address({ ...range, points: chartPoints }), { signal }) }
    },
    JSON.stringify([address({ from: 0, to: 0, points: chartPoints }), span]),
    refreshEvery(span),
  )
  const range = value?.range ?? spanAt(span, now)
  return { value: value?.answer ?? null, range: { ...range, points: chartPoints }, problem }
}
