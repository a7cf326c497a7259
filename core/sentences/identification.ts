import { formatDifference, formatDuration, formatShare } from '../format.js'
import type { Refusal } from '../settling/index.js'
import type { Reader } from './reader.js'

/** Why a time constant that was identified is not used: without a capital, so that it can follow another word. */
export const sayRefusal = (refusal: Refusal, { system }: Pick<Reader, 'system'>): string => {
  switch (refusal.kind) {
    case 'few readings':
      return `only ${Math.floor(refusal.hours)} h of readings of both; ${refusal.needed} h are needed`
    case 'moved little': {
      const [moved, needed] = [refusal.moved, refusal.needed].map(each => formatDifference(each, system, 'plain', 2))
      return `the surroundings moved it by only ${moved}; ${needed} are needed`
    }
    case 'uncertain':
      return `the fit is uncertain by more than ${formatShare(refusal.allowed)}`
    case 'at the bounds':
      return `the fit ends at the bounds of what is plausible, ${formatDuration(refusal.shortest)} and ${formatDuration(refusal.longest)}`
    case 'two speeds':
      return `it moves at two speeds: the answers run from ${formatDuration(refusal.shortest)} to ${formatDuration(refusal.longest)}`
    case 'residuals alike':
      return `the residuals are not explained: they still resemble each other by ${formatShare(refusal.correlation)}`
    case 'configured is as sure':
      return `what is configured is as sure (${formatShare(refusal.configured)}) as what was found (${formatShare(refusal.found)})`
    case 'follows another':
      return `${refusal.better} explains it better than ${refusal.follows}, and with ${formatDuration(refusal.otherwise)} instead of ${formatDuration(refusal.timeConstant)}`
    case 'told':
      return refusal.text
  }
}
