import type { InvestigatedGroup, InvestigatedPart, InvestigationAnswer } from '../../core/investigation/index.js'
import type { Reader } from '../../core/sentences/index.js'
import type { Machine, Shop } from '../../core/shop.js'
import type { SourcesAnswer } from '../../core/shop-model/index.js'

/** What the cards of an investigation are about. */
export interface Investigated {
  answer: InvestigationAnswer
  group: InvestigatedGroup
  parts: readonly InvestigatedPart[]
  /** null while it is asked for, or where nothing can be said */
  sources: SourcesAnswer | null
  machine: Machine | undefined
  shop: Shop
  reader: Reader
}

/** how a part stands in a picture: its shape says whether it was rejected; colours stay with verdicts */
export const shapes = {
  good: 'M-3.5 0a3.5 3.5 0 1 0 7 0a3.5 3.5 0 1 0 -7 0',
  reject: 'M0 -6L6 0L0 6L-6 0z',
} as const

export const partShape = ({ reject }: Pick<InvestigatedPart, 'reject'>) =>
  reject === null
    ? { shape: shapes.good, class: 'track-point is-good' }
    : { shape: shapes.reject, class: 'track-point is-reject' }

/** ms; when a part was cut */
export const cutAt = ({ from, to }: Pick<InvestigatedPart, 'from' | 'to'>): number => (from + to) / 2

export const partsOf = (answer: InvestigationAnswer, group: InvestigatedGroup): InvestigatedPart[] => {
  const index = answer.groups.indexOf(group)
  return answer.parts.filter(part => part.group === index)
}

/** m; what all parts are off together, beside what heat predicts */
export const sharedOffset = (parts: readonly InvestigatedPart[]): number => {
  const known = parts.flatMap(({ deviation, offset, predicted }) =>
    predicted ? [deviation - offset - predicted.error] : [],
  )
  return known.length === 0 ? 0 : known.reduce((sum, each) => sum + each, 0) / known.length
}
