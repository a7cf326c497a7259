import type { Verdict } from '../../core/state.js'
import { verdictWords } from '../shapes/verdict.js'
import { SpanLane, type SpanProps } from './time-lanes.js'

/** 0..1; how tall a verdict stands in its band: the graver, the taller, so that it is read without colour */
export const heights: Record<Verdict, number> = { fit: 0.3, settling: 0.6, unfit: 1, unknown: 1 }

/** What was shown of a work class from when to when. */
export const VerdictLane = ({
  bands,
  ...rest
}: Omit<SpanProps, 'spans'> & { bands: readonly { from: number; to: number; verdict: Verdict }[] }) => (
  <SpanLane
    {...rest}
    spans={bands.map(({ from, to, verdict }) => ({
      ...{ from, to, class: `band-${verdict}`, title: verdictWords[verdict], height: heights[verdict] },
    }))}
  />
)
