import type { AnswerKind } from '../../core/morning/index.js'
import type { Verdict } from '../../core/state.js'
import { VerdictShape } from './verdict.js'

/** An answer that has a verdict's meaning has its shape and colour; the other two are told in their own outline. */
const verdicts: Partial<Record<AnswerKind, Verdict>> = {
  go: 'fit',
  wait: 'settling',
  'cannot tell': 'unknown',
  'not today': 'unfit',
}

const outlines: Partial<Record<AnswerKind, string>> = {
  // the block set down on a new line
  'go once zeroed': 'M2 1h20L12 14zM1 18h22v5H1z',
  // the block on its way to another place
  move: 'M1 3h9v18H1zM13 3l10 9-10 9z',
}

export const answerWords: Record<AnswerKind, string> = {
  go: 'go',
  'go once zeroed': 'once zeroed',
  wait: 'wait',
  move: 'move',
  'not today': 'not today',
  'cannot tell': 'cannot tell',
}

/** as a verdict's plate is coloured */
export const answerReads = (answer: AnswerKind): Verdict => verdicts[answer] ?? 'settling'

export const AnswerShape = ({ answer }: { answer: AnswerKind }) => {
  const verdict = verdicts[answer]
  if (verdict) return <VerdictShape verdict={verdict} />
  return (
    <svg class="shape" viewBox="0 0 24 24" aria-hidden="true">
      <path d={outlines[answer]} fill="currentColor" />
    </svg>
  )
}

/** word and shape on their plate */
export const AnswerMark = ({ answer, word }: { answer: AnswerKind; word: string }) => (
  <span class={`verdict is-${answerReads(answer)}`}>
    <AnswerShape answer={answer} />
    <span>{word}</span>
  </span>
)
